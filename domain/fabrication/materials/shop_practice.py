"""Shop figures by material: hole spacing, screw stacks, bending temperatures, cutting speeds.

Sources stand in each table; most are common practice, from memory.
"""

from functools import cache
from itertools import pairwise
from math import pi

from msgspec import Struct

from domain.build.choices import HoleKind, Into
from domain.fabrication.materials.drills import thread_key, thread_pitch_m, thread_size
from domain.fabrication.materials.sheet_materials import Material
from domain.reference.csv_tables import load

_THIN = 0.999
_INCH_M = 0.0254
_INCH_LENGTHS = "1/8 3/16 1/4 5/16 3/8 7/16 1/2 5/8 3/4 7/8 1 1.125 1.25 1.375 1.5 1.75 2 2.25 2.5"
_METRIC_LENGTHS_MM = (4, 5, 6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100)


ANNEAL_C = 80.0
ANNEAL_LEAST_H = 2.0
ANNEAL_H_PER_MM = 1.0
"""Annealing cast acrylic: just below its heat deflection, an hour to the millimetre, at least two.
Data sheets of cast sheet (read)."""

LOCKING = {
    False: "thread locker on clean threads, or nuts with a nylon ring: what shakes comes loose",
    True: "no thread locker on this sheet, it cracks plastics: nuts with a nylon ring, or spring "
    "washers, and look at them again after a week: plastic gives way under a washer",
}
"""What keeps screws tight, by whether the sheet is a plastic. Plastics joining handbook (read)."""


def locked_by(sheet: Material | None, kind: HoleKind, into: Into) -> str:
    """What keeps a screw from turning out, in a part of this sheet; empty where nothing does.

    Thread locker in metal; on plastics, which it cracks, only a nut with a nylon ring: a screw that
    ends in a thread has nothing there. Tapping screws and wood screws hold by their own bite.
    """
    plastic = sheet is not None and sheet.kind == "plastic"
    if into in (Into.PANEL, Into.WOOD):
        return "its own bite"
    if plastic and (kind.threaded or into in (Into.RIVET_NUT, Into.TAPPED, Into.INSERT)):
        return ""
    return "nuts with a nylon ring" if plastic else "thread locker, or nuts with a nylon ring"


class Drying(Struct, frozen=True):
    """How long a sheet is dried before it is heated: hours, at the oven's temperature [C]."""

    hours: float
    oven_c: float


class Spacing(Struct, frozen=True):
    """Least distances of screw holes in screw diameters: centre to edge, centre to centre."""

    edge: float
    between: float


class ScrewStack(Struct, frozen=True):
    """Washer and nut of a screw size [m]."""

    washer_od_m: float
    washer_m: float
    nut_m: float


class Speeds(Struct, frozen=True):
    """Cutting speed of a drill [m/s], router speed [1/min] where it is routed, and advice."""

    drill_m_s: float
    router_rpm: int | None
    note: str

    def drill_rpm(self, diameter_m: float) -> int:
        """Spindle speed for a drill, to two figures and at most 3000 per minute."""
        rpm = min(3000.0, self.drill_m_s / (pi * diameter_m) * 60)
        step = 100 if rpm >= 1000 else 10
        return max(step, round(rpm / step) * step)


def spacing(sheet: Material | None) -> Spacing:
    """Least hole distances in a material; those of plastics where it is unknown."""
    table = _spacings()
    if sheet is None:
        return table["plastic"]
    return table.get(sheet.name) or table.get(sheet.stock) or table["plastic"]


def screw_stack(thread: str) -> ScrewStack | None:
    """Washer and nut for a thread or size; ``None`` where no table has it."""
    return _stacks().get(thread_size(thread))


def bending_c(sheet: Material) -> tuple[float, float, float] | None:
    """Sheet temperature of a line bend [C]: least, usual, most; ``None`` if not bent hot."""
    return _bending().get(sheet.name)


def drying(sheet: Material, thickness_m: float) -> Drying | None:
    """Drying before a hot bend; ``None`` for sheet that need not be dried.

    Straight between the rows of the table, and on from its last two.
    """
    rows = _dryings().get(sheet.name)
    if not rows or thickness_m < rows[0][0] * _THIN:
        return None
    for (t0, h0, oven), (t1, h1, _) in pairwise(rows):
        if thickness_m <= t1 or (t1, h1) == rows[-1][:2]:
            return Drying(max(h0, h0 + (h1 - h0) * (thickness_m - t0) / (t1 - t0)), oven)
    return Drying(*rows[0][1:])


def saw_speed(sheet: Material | None) -> str:
    """How a blank is sawn without harm to the sheet; as plastic where it is unknown.

    Common practice.
    """
    kind = "plastic" if sheet is None else sheet.kind
    return {
        "metal": "",
        "plastic": "slow stroke, no orbit: a fast blade welds plastic shut",
        "wood": "fine blade, scrap behind the cut: edges tear out",
    }[kind]


def speeds(sheet: Material | None) -> Speeds:
    """Cutting speeds in a material; those of plastics where it is unknown."""
    table = _speeds()
    if sheet is None:
        return table["plastic", ""]
    return (
        table.get((sheet.kind, sheet.name))
        or table.get((sheet.kind, sheet.stock))
        or table.get((sheet.kind, ""))
        or table["plastic", ""]
    )


def screw_length_m(thread: str, least_m: float) -> float | None:
    """The shortest common screw [m] that is at least so long; ``None`` above 2.5 in or 100 mm.

    ASME B18.6.3 and ISO 7045 lengths.
    """
    if thread_key(thread).startswith("M"):
        lengths = [mm / 1000 for mm in _METRIC_LENGTHS_MM]
    else:
        lengths = [_inches(text) * _INCH_M for text in _INCH_LENGTHS.split()]
    return next((length for length in lengths if length >= least_m - 1e-6), None)


def screw_range_m(
    thread: str, foot_m: float, thickness_m: float, tapped: bool
) -> tuple[float, float] | None:
    """Least and greatest useful length of a screw under its head [m]; ``None`` if unknown.

    Tapped: foot, washer and the whole sheet, and at most two pitches more than it needs to the
    next common length. Clearance: foot, washer, sheet, washer, nut and one pitch. Common practice.
    """
    stack, pitch = screw_stack(thread), thread_pitch_m(thread)
    if stack is None or pitch is None:
        return None
    held = foot_m + stack.washer_m + thickness_m
    least = held if tapped else held + stack.washer_m + stack.nut_m + pitch
    longest = screw_length_m(thread, least + 2 * pitch)
    return least, longest if longest is not None else least + 2 * pitch


def _inches(text: str) -> float:
    over, _, under = text.partition("/")
    return float(over) / float(under or 1)


@cache
def _spacings() -> dict[str, Spacing]:
    columns = ("material", "edge_over_diameter", "spacing_over_diameter")
    return {
        row["material"]: Spacing(
            float(row["edge_over_diameter"]), float(row["spacing_over_diameter"])
        )
        for row in load("hole_spacing", columns)
    }


@cache
def _stacks() -> dict[str, ScrewStack]:
    columns = ("size", "washer_od_mm", "washer_mm", "nut_mm")
    return {
        row["size"]: ScrewStack(
            float(row["washer_od_mm"]) / 1000,
            float(row["washer_mm"]) / 1000,
            float(row["nut_mm"]) / 1000,
        )
        for row in load("screw_stack", columns)
    }


@cache
def _bending() -> dict[str, tuple[float, float, float]]:
    columns = ("material", "low_c", "typical_c", "high_c")
    return {
        row["material"]: (float(row["low_c"]), float(row["typical_c"]), float(row["high_c"]))
        for row in load("line_bending", columns)
    }


@cache
def _speeds() -> dict[tuple[str, str], Speeds]:
    columns = ("kind", "material", "drill_m_min", "router_rpm", "note")
    return {
        (row["kind"], row["material"]): Speeds(
            float(row["drill_m_min"]) / 60,
            int(row["router_rpm"]) if row["router_rpm"] else None,
            row["note"],
        )
        for row in load("cutting_speeds", columns)
    }


@cache
def _dryings() -> dict[str, list[tuple[float, float, float]]]:
    found: dict[str, list[tuple[float, float, float]]] = {}
    for row in load("sheet_drying", ("material", "thickness_mm", "hours", "oven_c")):
        row_m = float(row["thickness_mm"]) / 1000
        found.setdefault(row["material"], []).append(
            (row_m, float(row["hours"]), float(row["oven_c"]))
        )
    return {name: sorted(rows) for name, rows in found.items()}
