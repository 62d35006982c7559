"""Figures of the sheet as cells show them, and what stands behind an auto cell."""

from typing import Any

from domain.build.choices import UnitHabit
from domain.build.edits import Scalar
from domain.build.records import Build
from domain.sheet import Sheet


def auto_value(build: Build, sheet: Sheet, table: str, record: Any, field: str) -> Scalar:
    """What the engine takes for a field that was left to it; ``None`` where it takes nothing."""
    if table == "runs":
        run = sheet.run(record.id)
        if run is None:
            return None
        chosen: dict[str, Scalar] = {
            "length_m": run.length_m,
            "slack_m": max(run.wire_m - run.length_m, 0.0),
            "gauge": run.gauge,
            "fuse_a": run.fuse_a,
            "fuse_family": run.fuse_family or None,
            "fuse_distance_m": run.fuse_distance_m,
            "bundle": run.bundle,
        }
        return chosen.get(field)
    if table == "amplifiers" and field == "efficiency":
        load = sheet.amplifier(record.id)
        return load.efficiency if load else None
    if table == "amplifiers" and field == "largest_wire":
        from domain.electrical.loads import largest_wire

        return largest_wire(record)
    if table == "alternators" and field == "idle_a" and len(build.alternators) == 1:
        return sheet.supply.idle_a
    if table == "blocks" and field in ("largest_in", "largest_out"):
        return next((getattr(b, field) for b in sheet.blocks if b.id == record.id), None)
    if table == "grounds" and field == "resistance_ohm":
        return next((g.resistance_ohm for g in sheet.grounds if g.id == record.id), None)
    return None


def amperes(value: float | None) -> str:
    """A current in short: "123 A", "4.2 A"."""
    if value is None:
        return "-"
    return f"{value:.1f} A" if abs(value) < 9.95 else f"{value:.0f} A"


def volts(value: float | None) -> str:
    """A voltage in short: "0.21 V"."""
    return "-" if value is None else f"{value:.2f} V"


def degrees(value: float, units: UnitHabit) -> str:
    """A temperature [C] in the build's habit."""
    return f"{value:.0f} C" if units is UnitHabit.METRIC else f"{value * 1.8 + 32:.0f} F"


def minutes(value: float | None) -> str:
    """A time [min] in short: "45 min", "3.2 h", "1.5 d"."""
    if value is None:
        return "-"
    if value < 100:
        return f"{value:.0f} min"
    hours = value / 60
    return f"{hours:.1f} h" if hours < 48 else f"{hours / 24:.1f} d"


def seconds(value: float | None) -> str:
    """A time [s] in short: "1 ms", "0.25 s", "12 s", "5 min", "2.5 h"."""
    if value is None:
        return "never"
    if value < 0.0995:
        return f"{value * 1000:.3g} ms"
    if value < 60:
        return f"{value:.3g} s"
    if value < 3600:
        return f"{value / 60:.3g} min"
    return f"{value / 3600:.3g} h"


def gauge(value: str) -> str:
    """A gauge in short: "1/0", "35 mm2"."""
    return value.removeprefix("AWG ")


def amp_full(build: Build, sheet: Sheet, record: Any) -> str:
    """Current of an amplifier at full tone."""
    load = sheet.amplifier(record.id)
    return amperes(load.design_a if load else None)


def amp_programme(build: Build, sheet: Sheet, record: Any) -> str:
    """Average current of an amplifier's programme."""
    load = sheet.amplifier(record.id)
    return amperes(load.programme_a if load else None)


def amp_drop(build: Build, sheet: Sheet, record: Any) -> str:
    """Drop from the battery posts to an amplifier and back."""
    load = sheet.amplifier(record.id)
    return volts(load.drop_v if load else None)


def run_current(build: Build, sheet: Sheet, record: Any) -> str:
    """Current of a run at full tone."""
    run = sheet.run(record.id)
    return amperes(run.design_a if run else None)


def run_drop(build: Build, sheet: Sheet, record: Any) -> str:
    """Drop along a run at full tone."""
    run = sheet.run(record.id)
    return volts(run.drop_v if run else None)


def run_temperature(build: Build, sheet: Sheet, record: Any) -> str:
    """Temperature of a run's conductor."""
    run = sheet.run(record.id)
    return degrees(run.temperature_c, build.header.units) if run else "-"


def run_ampacity(build: Build, sheet: Sheet, record: Any) -> str:
    """What a run can carry, corrected for its place and bundle."""
    run = sheet.run(record.id)
    return amperes(run.ampacity_a if run else None)


def ground_current(build: Build, sheet: Sheet, record: Any) -> str:
    """Current through a ground point at full tone."""
    return amperes(next((g.design_a for g in sheet.grounds if g.id == record.id), None))


def ground_rise(build: Build, sheet: Sheet, record: Any) -> str:
    """How far a ground point lies above the battery's ground at full tone."""
    return volts(next((g.rise_v for g in sheet.grounds if g.id == record.id), None))


def part_flat(build: Build, sheet: Sheet, record: Any) -> str:
    """Flat size of a part."""
    part = next((p for p in sheet.parts if p.id == record.id), None)
    if part is None:
        return "-"
    return f"{_small(part.flat_length_m, build)} x {_small(part.flat_width_m, build)}"


def part_area(build: Build, sheet: Sheet, record: Any) -> str:
    """Area of a part's flat pattern."""
    part = next((p for p in sheet.parts if p.id == record.id), None)
    if part is None:
        return "-"
    if build.header.units is UnitHabit.METRIC:
        return f"{part.area_m2 * 1e4:.0f} cm2"
    return f"{part.area_m2 / 0.0254**2:.1f} sq in"


def part_mass(build: Build, sheet: Sheet, record: Any) -> str:
    """Mass of one piece of a part."""
    part = next((p for p in sheet.parts if p.id == record.id), None)
    return "-" if part is None else mass(build, part.mass_kg)


def mass(build: Build, value: float) -> str:
    """A mass [kg] in the build's habit."""
    if build.header.units is UnitHabit.METRIC:
        return f"{value:.2f} kg"
    return f"{value / 0.45359237:.2f} lb"


def _small(value: float, build: Build) -> str:
    if build.header.units is UnitHabit.METRIC:
        return f"{value * 1000:.0f} mm"
    return f"{value / 0.0254:.2f} in"
