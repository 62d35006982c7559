"""A plastic part on metal grows and shrinks with the heat of a vehicle: its holes must let it."""

from collections.abc import Sequence
from math import hypot

from domain.build.choices import HoleShape, Into
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
    if sheet is None or sheet.kind != "plastic":
        return
    told = {fixing.id: fixing for fixing in layout.records.fixings}
    by_panel: dict[str, list[PlacedHole]] = {}
    for hole in layout.placed:
        fixing = told.get(hole.fixing)
        if fixing is not None and fixing.into not in _WOODEN and not hole.kind.threaded:
            by_panel.setdefault(hole.panel, []).append(hole)
    for panel, holes in by_panel.items():
        first, last = furthest(holes)
        needed = growth_m(layout, hypot(first.x_m - last.x_m, first.y_m - last.y_m))
        play = sum(_play_m(hole) for hole in (first, last))
        if needed <= play or HoleShape.SLOT in (first.shape, last.shape):
            continue
        level = Level.FIX if sheet.name in _BRITTLE else Level.NOTE
        if report.full("no-room-to-grow", level):
            continue
        report.add(
            level,
            "no-room-to-grow",
            f"{layout.panel_name(panel)} has no room to grow between its screws",
            f"{sheet.name} on steel moves {layout.show(needed)} between holes {first.id} and "
            f"{last.id} from {COLDEST_C:g} C to the heat of its place, their play is "
            f"{layout.show(play)}",
            f"leave {first.id} as it is and make {last.id} a slot along the line between them, "
            "and draw its screw no tighter than its washer slides",
            "linear growth; typical coefficients",
            ("holes", last.id, "shape"),
        )


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


def _play_m(hole: PlacedHole) -> float:
    """How far a screw may move from the middle of its hole [m]."""
    limits = limits_of(hole.thread)
    return max(0.0, (hole.diameter_m - limits.major_m) / 2) if limits else 0.0
