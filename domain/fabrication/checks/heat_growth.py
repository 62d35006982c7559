"""A plastic part on metal grows and shrinks with the heat of a vehicle: its holes must let it."""

from collections.abc import Iterator, Sequence
from math import atan2, degrees, hypot

from msgspec.structs import replace

from domain.build.choices import HoleShape, Into
from domain.build.edits import SetField
from domain.fabrication.materials.heat import soaked_c
from domain.fabrication.materials.sheet_materials import heat_growth_per_k
from domain.fabrication.part_layout import PartLayout, Report
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.strength.threads import limits_of
from domain.findings import Level

COLDEST_C = -20.0
MADE_C = 20.0
"""A winter night, and the shop where it is screwed on [C]. Common practice."""

STEEL_PER_K = 12e-6
"""Growth of the steel behind [1/K]."""

_BRITTLE = ("acrylic",)
_WOODEN = (Into.UNKNOWN, Into.WOOD, Into.INSERT)


def check_heat_growth(layout: PartLayout, report: Report) -> None:
    """Screws through one panel of a plastic part into metal, the furthest apart."""
    sheet = layout.sheet
    for first, last in tight_pairs(layout):
        level = Level.FIX if sheet and sheet.name in _BRITTLE else Level.NOTE
        if report.full("no-room-to-grow", level):
            continue
        needed = growth_m(layout, hypot(first.x_m - last.x_m, first.y_m - last.y_m))
        report.add(
            level,
            "no-room-to-grow",
            f"{layout.panel_name(last.panel)} has no room to grow between its screws",
            f"{layout.part.material} on steel moves {layout.show(needed)} between holes {first.id} "
            f"and {last.id} from {COLDEST_C:g} C to the heat of its place, their play is "
            f"{layout.show(_play_m(first) + _play_m(last))}",
            f"leave {first.id} as it is and make {last.id} a slot along the line between them, "
            "and draw its screw no tighter than its washer slides",
            "linear growth; typical coefficients",
            ("holes", last.id, "shape"),
        )


def tight_pairs(layout: PartLayout) -> Iterator[tuple[PlacedHole, PlacedHole]]:
    """For each panel of a plastic part on metal the two round holes furthest apart, if the sheet
    moves more between them than their play: the second is to be a slot.
    """
    if layout.sheet is None or layout.sheet.kind != "plastic":
        return
    told = {fixing.id: fixing for fixing in layout.records.fixings}
    by_panel: dict[str, list[PlacedHole]] = {}
    for hole in layout.placed:
        fixing = told.get(hole.fixing)
        if fixing is None or fixing.into in _WOODEN or hole.kind.threaded:
            continue
        if hole.shape is HoleShape.ROUND:
            by_panel.setdefault(hole.panel, []).append(hole)
    for holes in by_panel.values():
        first, last = furthest(holes)
        needed = growth_m(layout, hypot(first.x_m - last.x_m, first.y_m - last.y_m))
        if needed > _play_m(first) + _play_m(last):
            yield first, last


def furthest(holes: Sequence[PlacedHole]) -> tuple[PlacedHole, PlacedHole]:
    """The two holes that are furthest apart; one hole twice if there is no other."""
    pairs = ((a, b) for a in holes for b in holes)
    return max(pairs, key=lambda pair: hypot(pair[0].x_m - pair[1].x_m, pair[0].y_m - pair[1].y_m))


def growth_m(layout: PartLayout, apart_m: float) -> float:
    """How far two points of the part move against steel, from made to hot or to cold [m]."""
    zone = next((z for z in layout.build.zones if z.id == layout.part.zone), None)
    span = max(soaked_c(zone) - MADE_C, MADE_C - COLDEST_C)
    own = heat_growth_per_k(layout.sheet) if layout.sheet else None
    return max(0.0, (own or STEEL_PER_K) - STEEL_PER_K) * span * apart_m


def slot_for(layout: PartLayout, first: PlacedHole, last: PlacedHole) -> tuple[float, float]:
    """Overall length [m] and turn [degrees] of the slot that lets ``last`` move to and from
    ``first``.
    """
    dx, dy = last.x_m - first.x_m, last.y_m - first.y_m
    moves = growth_m(layout, hypot(dx, dy))
    turn = degrees(atan2(dy, dx))
    # a slot is the same turned half round
    turn = (turn + 90) % 180 - 90
    return last.diameter_m + 2 * moves, turn


def slots(layout: PartLayout) -> tuple[SetField, ...]:
    """Edits that make slots of round holes, one after the other, until no pair is tight."""
    found: list[SetField] = []
    placed = list(layout.placed)
    while pair := next(tight_pairs(replace(layout, placed=placed)), None):
        first, last = pair
        across, turn = slot_for(layout, first, last)
        for field, value in (("shape", "slot"), ("across_m", across), ("turn_deg", turn)):
            found.append(SetField(table="holes", id=last.id, field=field, value=value))
        placed = [replace(h, shape=HoleShape.SLOT) if h is last else h for h in placed]
    return tuple(found)


def _play_m(hole: PlacedHole) -> float:
    """How far a screw may move from the middle of its hole [m]."""
    limits = limits_of(hole.thread)
    return max(0.0, (hole.diameter_m - limits.major_m) / 2) if limits else 0.0
