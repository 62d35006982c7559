"""Bends: can the material be bent, so tightly, so near to each other, with so deep a score."""

from collections.abc import Iterator
from itertools import combinations

from msgspec import Struct

from domain.build.records import Panel
from domain.fabrication.materials.sheet_materials import Material, min_bend_radius_m
from domain.fabrication.part_layout import PartLayout, Report
from domain.fabrication.shape.flat_pattern import BendLine
from domain.findings import Level
from domain.units.show import figures

DEEPEST_SCORE_M = 0.0254 / 32
"""A score for a hot bend is no deeper than 1/32 in. Common practice."""

_TOUCH_M = 1e-6


def check_bends(layout: PartLayout, report: Report) -> None:
    """Each bend against the material and the sheet on both sides of it."""
    for bend in layout.flat.bends:
        panel = layout.tree.nodes[bend.panel].panel
        if layout.sheet:
            _material(layout, report, panel, layout.sheet)
            _flange(layout, report, bend, layout.sheet)
        _score(layout, report, panel)
    _heated(layout, report)


def least_radius_m(sheet: Material, thickness_m: float, panel: Panel) -> float | None:
    """Least inside radius of a panel's bend [m]; ``None`` where it has no bend or no figure."""
    if not panel.joins or panel.bend_deg == 0:
        return None
    return min_bend_radius_m(sheet, thickness_m)


def least_flange_m(sheet: Material, thickness_m: float, bend: BendLine) -> float:
    """Least flat of a panel beside a bend [m].

    Cold: 2.5 thicknesses, so that it bridges the die. Hot: from the bend to beyond the softened
    strip and two thicknesses to hold it by. Common practice, from memory.
    """
    if sheet.bends == "hot":
        return max(0.0, (bend.heat_m - bend.allowance_m) / 2) + 2 * thickness_m
    return 2.5 * thickness_m


def _material(layout: PartLayout, report: Report, panel: Panel, sheet: Material) -> None:
    name = layout.panel_name(panel.id)
    if sheet.bends == "no":
        if not report.full("bend-impossible", Level.STOP):
            report.add(
                Level.STOP,
                "bend-impossible",
                f"{name}: {sheet.name} is not bent",
                f"a bend of {figures(panel.bend_deg, 4)} degrees is asked for",
                "join two pieces, or take a material that bends",
                "common practice",
                ("parts", layout.part.id, "material"),
            )
        return
    least = least_radius_m(sheet, layout.part.thickness_m, panel)
    if least is None or panel.bend_radius_m >= least - _TOUCH_M:
        return
    if not report.full("bend-too-tight", Level.FIX):
        show = layout.show
        report.add(
            Level.FIX,
            "bend-too-tight",
            f"{name}: the bend is too tight for {sheet.name}",
            f"inside radius {show(panel.bend_radius_m)}, at least {show(least)} "
            f"for {show(layout.part.thickness_m)} sheet",
            f"make the inside radius {show(least)} or more",
            "Aluminum Association Table 3-1, 90 degree cold bend"
            if sheet.stock == "aluminium"
            else "common practice, 90 degree bend",
            ("panels", panel.id, "bend_radius_m"),
        )


def _flange(layout: PartLayout, report: Report, bend: BendLine, sheet: Material) -> None:
    if sheet.bends == "no":
        return
    least = least_flange_m(sheet, layout.part.thickness_m, bend)
    _, y0, _, y1 = layout.tree.nodes[bend.panel].core
    flat = y1 - y0
    if flat >= least - _TOUCH_M or report.full("flange-too-short", Level.FIX):
        return
    report.add(
        Level.FIX,
        "flange-too-short",
        f"{layout.panel_name(bend.panel)} is too short to bend",
        f"{layout.show(flat)} flat beside the bend, at least {layout.show(least)}",
        f"make it {layout.show(least - flat)} longer",
        "common practice",
        ("panels", bend.panel, "length_m"),
    )


def _score(layout: PartLayout, report: Report, panel: Panel) -> None:
    depth = panel.score_m
    if depth is None or depth <= DEEPEST_SCORE_M + _TOUCH_M:
        return
    through = depth >= layout.part.thickness_m - _TOUCH_M
    level = Level.STOP if through else Level.FIX
    if report.full("score-too-deep", level):
        return
    report.add(
        level,
        "score-too-deep",
        f"{layout.panel_name(panel.id)}: the score "
        + ("cuts through the sheet" if through else "is too deep"),
        f"{layout.show(depth)} deep in {layout.show(layout.part.thickness_m)} sheet, at most "
        f"{layout.show(DEEPEST_SCORE_M)}",
        f"make it {layout.show(DEEPEST_SCORE_M)} or less: it only guides the bend",
        "common practice, 1/32 in",
        ("panels", panel.id, "score_m"),
    )


class HeatedPair(Struct, frozen=True):
    """Two hot bends of one panel whose strips meet; ``field`` of the panel would part them."""

    panel: str
    field: str
    apart_m: float
    least_m: float


def heated_pairs(layout: PartLayout) -> Iterator[HeatedPair]:
    """Parallel bends of one panel that lie nearer than their heated strips are wide."""
    for id in layout.tree.nodes:
        touching = [b for b in layout.flat.bends if b.heat_m and id in (b.panel, b.joins)]
        for one, other in combinations(touching, 2):
            upright = abs(one.x1 - one.x0) < abs(one.y1 - one.y0)
            if upright != (abs(other.x1 - other.x0) < abs(other.y1 - other.y0)):
                continue
            apart = abs(one.x0 - other.x0) if upright else abs(one.y0 - other.y0)
            least = (one.heat_m + other.heat_m) / 2
            if _TOUCH_M < apart < least - _TOUCH_M:
                along = upright == (layout.flat.panels[id].turn_deg in (0, 180))
                yield HeatedPair(id, "width_m" if along else "length_m", apart, least)


def _heated(layout: PartLayout, report: Report) -> None:
    for pair in heated_pairs(layout):
        if not report.full("bends-too-near", Level.FIX):
            report.add(
                Level.FIX,
                "bends-too-near",
                f"{layout.panel_name(pair.panel)}: heating one bend softens the other",
                f"the bend lines lie {layout.show(pair.apart_m)} apart, the heated strips are "
                f"{layout.show(pair.least_m)} wide",
                f"make the flange {layout.show(pair.least_m - pair.apart_m)} larger, or shield the "
                "first bend",
                "common practice: softened over four thicknesses",
                ("panels", pair.panel, pair.field),
            )
