"""Which figures of the sheet stand behind a cell, so that their workings can be shown."""

from typing import TYPE_CHECKING, Any

from domain.build.records import Build, Part
from domain.sheet import Sheet
from domain.topics.shower import shower
from domain.units.show import format_quantity
from domain.workings.working import Figure, Working
from tui.tables.columns import Column
from tui.tables.parts import strength_of
from tui.tables.readings import ReadingRow

if TYPE_CHECKING:
    from domain.plan import Plan

_BEHIND: dict[tuple[str, str], tuple[str, ...]] = {
    ("amplifiers", "power"): ("amplifier_load", "rated_w"),
    ("amplifiers", "·full"): ("amplifier_load", "design_a"),
    ("amplifiers", "·prog"): ("amplifier_load", "programme_a"),
    ("amplifiers", "·drop"): ("amplifier_load", "drop_v", "drop_feed_v", "drop_return_v"),
    ("amplifiers", "efficiency"): ("amplifier_load", "efficiency"),
    ("returns", "·offset"): ("amplifier_load", "ground_offset_v"),
    ("returns", "·return"): ("amplifier_load", "drop_return_v"),
    ("runs", "length_m"): ("run_result", "length_m", "wire_m"),
    ("runs", "slack_m"): ("run_result", "wire_m"),
    ("runs", "gauge"): ("run_result", "area_mm2", "ampacity_a", "resistance_ohm", "conductor_kg"),
    ("runs", "fuse_a"): ("run_result", "fuse_a", "fuse_least_a", "protected_a"),
    ("runs", "fuse_distance_m"): ("run_result", "fuse_distance_m", "unprotected_m"),
    ("runs", "·drop"): ("run_result", "drop_v", "resistance_ohm"),
    ("runs", "·temp"): ("run_result", "temperature_c", "ambient_c", "heat_w"),
    ("runs", "·a"): ("run_result", "design_a", "programme_a"),
    ("runs", "·ampacity"): ("run_result", "ampacity_a"),
    ("designs", "·kg"): ("design", "copper_kg"),
    ("designs", "·worst"): ("design", "worst_drop_v"),
    ("spots", "·rank"): ("spot_result", "rank"),
    ("spots", "·why"): ("spot_result", "rank", "heat_margin_c"),
    ("spots", "onward_m"): ("spot_result", "wire_m"),
    ("grounds", "resistance_ohm"): ("ground_result", "resistance_ohm"),
    ("grounds", "·a"): ("ground_result", "design_a"),
    ("grounds", "·rise"): ("ground_result", "rise_v"),
    ("materials", "·item"): ("material_line", "quantity", "needed"),
    ("materials", "·size"): ("material_line", "quantity", "needed"),
    ("materials", "·buy"): ("material_line", "quantity", "needed"),
    ("parts", "·flat"): ("part_result", "flat_length_m", "flat_width_m", "bend_allowance_m"),
    ("parts", "·area"): ("part_result", "area_m2"),
    ("parts", "·mass"): ("part_result", "mass_kg"),
}
"""(table, column) -> kind of the sheet's record, and the fields behind the cell."""

STUDY = (
    *("fault_near_a", "fault_far_a", "must_open_a", "opens_far_s"),
    *("stands_far_s", "margin", "breaking_a"),
)
"""Figures of a fuse's study, in the order of their telling."""

SUPPLY = (
    *("design_a", "programme_a", "cruise_balance_a", "idle_balance_a"),
    *("minutes_to_half_idle", "play_minutes", "sag_v"),
)
"""The main figures of the live pane."""


def figures_behind(column: Column, record: Any) -> list[Figure]:
    """The figures behind a cell; empty where the user typed what is there."""
    kind, *fields = _BEHIND.get((column.table, column.field), ("",))
    return [Figure(kind, record.id, field) for field in fields]


STRENGTH = ("·margin", "·sag", "·mode")
"""Columns of parts that follow from the strength of the folded part."""


def strength_lines(build: Build, sheet: Sheet, part: Part) -> list[str]:
    """What the strength of a part rests on, and what it comes to; a sentence where it has none."""
    from domain.fabrication.checks.strength import weakest_place
    from domain.fabrication.strength.vibration import profile_test

    found = strength_of(sheet, part.id)
    if found is None:
        return ["There is no strength to work out: the part carries nothing, or no screw holds it."]

    def length(value_m: float) -> str:
        return format_quantity("small_length", value_m, build.header.units)

    warm = format_quantity("temperature", found.temperature_c, build.header.units)
    return [
        f"Thin plates joined at sharp bends, held at {len(found.screws)} screws (Ritz's method)",
        f"  load                  {shower(build)('mass', found.load_kg)}, own mass "
        f"{shower(build)('mass', found.own_mass_kg)}, times {found.shock_ratio:g} g",
        f"  reach from its screws {length(found.reach_m)}",
        f"  sags                  {length(found.deflection_m)}",
        f"  highest stress        {found.stress_pa / 1e6:.3g} MPa, {weakest_place(build, found)}",
        f"  {part.material} stands {found.strength_pa / 1e6:.3g} MPa at {warm} "
        f"({found.heat_fraction * 100:.0f} % of room temperature is left)",
        f"  static margin         {found.strength_pa / 1e6:.3g} / {found.stress_pa / 1e6:.3g} = "
        + ("none asked for" if found.margin is None else f"{found.margin:.3g}"),
        "",
        f"Random vibration (Miles' equation; ISO 16750-3, {profile_test(part.place)}, from memory)",
        f"  first mode            {found.natural_hz:.3g} Hz",
        f"  density there         {found.psd_m2_s3:.3g} (m/s2)2/Hz, amplification "
        f"{found.quality:g}",
        f"  answer                {found.response_ratio:.3g} g r.m.s., 3 sigma makes "
        f"{found.shaking_pa / 1e6:.3g} MPa",
        f"  shaking margin        {found.shaking_margin:.3g}",
        "",
        f"Margin in the table: the lesser, {found.least_margin:.2g}",
    ]


def working_lines(plan: "Plan", figures: list[Figure]) -> list[str]:
    """The workings of these figures as lines, a blank one between them.

    Figures that the sheet does not have are passed over.
    """
    from domain.workings.registry import text, workings

    return _joined(figures, lambda figure: workings(plan, figure), text)


def reading_lines(build: Build, sheet: Sheet, row: ReadingRow) -> list[str]:
    """The workings of a predicted reading and its tolerance; empty where none is predicted."""
    from domain.workings.electrical import readings
    from domain.workings.registry import text

    of = row.predicted or row.judged
    if of is None:
        return []
    makers = [readings.predicted_v, readings.tolerance_v]
    return _joined(makers, lambda maker: maker(build, sheet, of), text)


def _joined(wanted: Any, made: Any, text: Any) -> list[str]:
    lines: list[str] = []
    for each in wanted:
        try:
            working: Working = made(each)
        except LookupError:
            continue
        lines += ["", *text(working)] if lines else text(working)
    return lines
