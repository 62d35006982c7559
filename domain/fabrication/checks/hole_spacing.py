"""Holes against each other: enough sheet between any two of a part, flat.

Each hole is a round or a set of segments with a radius; holes are sorted into squares of a grid,
so that thousands of them are compared with their neighbours only. Rule: screws are spaced by
diameters (``hole_spacing`` table), other cut-outs leave half their width between them, but need
no more than two thicknesses. Common practice, from memory.
"""

from math import floor, hypot

from domain.build.choices import HoleKind
from domain.fabrication.checks.holes import PRACTICE, place_of, where
from domain.fabrication.materials.shop_practice import spacing
from domain.fabrication.part_layout import PartLayout, Report, Told
from domain.fabrication.shape.clearance import CUTOUT_WEB_THICKNESSES
from domain.fabrication.shape.cutouts import FlatHole, hole_reach_m
from domain.fabrication.shape.hole_distance import gap_m, least_gap_m
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.findings import Level

_SQUARES = 16
"""The largest hole spans at most this many squares of the grid."""

_TOUCH_M = 1e-6


def check_spacing(layout: PartLayout, report: Report) -> None:
    """Every hole against those before it; the first that is too near is reported."""
    holes = layout.flat.holes
    if len(holes) < 2:
        return
    factor = spacing(layout.sheet).between - 1
    most = CUTOUT_WEB_THICKNESSES * layout.part.thickness_m
    reaches = [hole_reach_m(hole) for hole in holes]
    rims = [hypot(*reach) for reach in reaches]
    webs = [_web_m(hole, factor, most) for hole in holes]
    sizes = sorted(max(reach) + web for reach, web in zip(reaches, webs, strict=True))
    square = max(2 * sizes[len(sizes) // 2], 2 * sizes[-1] / _SQUARES, 1e-4)
    grid: dict[tuple[int, int], list[int]] = {}
    for i, hole in enumerate(holes):
        across, up = reaches[i][0] + webs[i], reaches[i][1] + webs[i]
        columns = range(
            floor((hole.x_m - across) / square), floor((hole.x_m + across) / square) + 1
        )
        rows = range(floor((hole.y_m - up) / square), floor((hole.y_m + up) / square) + 1)
        squares = [(column, row) for column in columns for row in rows]
        near = {j for each in squares for j in grid.get(each, ())}
        clear = True
        for j in sorted(near):
            other = holes[j]
            least = min(webs[i], webs[j])
            if hypot(hole.x_m - other.x_m, hole.y_m - other.y_m) >= rims[i] + rims[j] + least:
                continue
            if least_gap_m(hole, other) >= least:
                continue
            gap = gap_m(hole, other)
            if gap < least - _TOUCH_M:
                _tell(layout, report, (layout.placed[i], layout.placed[j]), gap, least)
                clear = False
                break
        if clear:
            for each in squares:
                grid.setdefault(each, []).append(i)


def _web_m(hole: FlatHole, factor: float, most_m: float) -> float:
    if hole.kind is HoleKind.PLAIN:
        return min(hole.diameter_m / 2, most_m)
    return factor * hole.diameter_m


def _tell(
    layout: PartLayout,
    report: Report,
    pair: tuple[PlacedHole, PlacedHole],
    gap: float,
    least: float,
) -> None:
    one, other = pair
    screw = HoleKind.PLAIN not in (one.kind, other.kind)
    if gap <= _TOUCH_M:
        if not report.full("holes-run-together", Level.FIX):
            report.add(
                Level.FIX,
                "holes-run-together",
                f"{where(layout, one)} runs into hole {other.id}",
                f"they overlap by {layout.show(-gap)}",
                f"move one of them {layout.show(least - gap)}",
                "geometry",
                place_of(one, "x_m"),
            )
        return
    level = Level.FIX if screw else Level.NOTE

    def told() -> Told:
        return (
            f"{where(layout, one)} is near hole {other.id}",
            f"{layout.show(gap)} of sheet between them, at least {layout.show(least)}",
            f"move one of them {layout.show(least - gap)}",
            PRACTICE,
            place_of(one, "x_m"),
        )

    report.worst(level, "holes-too-near", least - gap, told)
