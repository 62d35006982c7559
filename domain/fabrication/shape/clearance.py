"""How much room a hole needs to the edges and bends of its panel, and how much it has.

Distances are from the hole's own edge, in the panel's coordinates [m]. Rules: screw holes to a
free edge by screw diameters of the material (``hole_spacing`` table); other cut-outs keep 1.5
widths, but never more than two thicknesses; cold bends: hole edge to the outside face of the
bend 2 t + r, slots over 25 mm 3 t + r; hot bends: outside the softened strip. Common practice,
from memory.
"""

from functools import lru_cache

from msgspec import Struct

from domain.build.choices import HoleKind, HoleShape, PanelEdge
from domain.fabrication.materials.drills import thread_major_m
from domain.fabrication.materials.inserts import insert_for
from domain.fabrication.materials.sheet_materials import Material
from domain.fabrication.materials.shop_practice import screw_stack, spacing
from domain.fabrication.shape.cutouts import box_reach_m
from domain.fabrication.shape.flat_pattern import heated_m
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.shape.panel_tree import Joint, Node, Tree

CUTOUT_WEB_THICKNESSES = 2.0
LONG_SLOT_M = 0.025
_ROUND_LOSS = 0.2929
"""A rounded corner comes this fraction of its radius nearer than the square one: 1 - 1/sqrt 2."""

Span = tuple[float, float, Joint]


class Side(Struct, frozen=True):
    """One side of a panel's core: an axis (0 is x), where it lies [m], and which way is out.

    ``bends`` are the bends along it, each from and to in the other axis [m].
    """

    edge: PanelEdge
    axis: int
    at_m: float
    out: int
    bends: tuple[Span, ...]


class Required(Struct, frozen=True):
    """What a hole needs [m]: half its box along both axes, webs to an edge and to bends.

    ``size_m`` is the diameter that the rule is counted in; ``washer_m`` half of what must lie
    flat round a screw, 0 for other holes.
    """

    reach: tuple[float, float]
    size_m: float
    web_m: float
    washer_m: float
    screw: bool
    tapped: bool
    long: bool


class Shortfall(Struct, frozen=True):
    """A side where room is lacking: what there is and what there should be [m].

    ``joint`` is the bend there, ``None`` at a free edge. ``cause`` is "edge", "bend", "heat",
    "form" (a cold bend would distort the hole) or "washer".
    """

    cause: str
    side: Side
    gap_m: float
    least_m: float
    joint: Joint | None

    @property
    def short_m(self) -> float:
        """How far it would have to move [m]."""
        return self.least_m - self.gap_m


def sides(tree: Tree, node: Node) -> tuple[Side, ...]:
    """The four sides of a panel's core with the bends along them."""
    x0, y0, x1, y1 = node.core
    found = []
    for edge, axis, at, out in (
        (PanelEdge.NEAR, 1, y0, -1),
        (PanelEdge.FAR, 1, y1, 1),
        (PanelEdge.LEFT, 0, x0, -1),
        (PanelEdge.RIGHT, 0, x1, 1),
    ):
        bends: list[Span] = []
        if edge is PanelEdge.NEAR and node.joint:
            bends.append((*node.joint.span, node.joint))
        for joint in node.joints.get(edge, []):
            ends = [joint.corner[1 - axis] + joint.along[1 - axis] * x for x in joint.span]
            bends.append((min(ends), max(ends), joint))
        found.append(Side(edge, axis, at, out, tuple(bends)))
    return tuple(found)


def required(sheet: Material | None, thickness_m: float, hole: PlacedHole) -> Required:
    """What a hole needs, from its size, screw and material."""
    return _required(
        sheet,
        thickness_m,
        hole.shape,
        hole.diameter_m,
        hole.across_m,
        hole.turn_deg,
        hole.kind,
        hole.thread,
    )


@lru_cache(maxsize=512)
def _required(
    sheet: Material | None,
    thickness_m: float,
    shape: HoleShape,
    diameter_m: float,
    across_m: float | None,
    turn_deg: float,
    kind: HoleKind,
    thread: str,
) -> Required:
    reach = box_reach_m(shape, diameter_m, across_m, turn_deg)
    screw = kind is not HoleKind.PLAIN
    major = thread_major_m(thread) if screw else None
    size = max(diameter_m, major or 0.0) if screw else diameter_m
    web = spacing(sheet).edge * size - diameter_m / 2
    if not screw:
        web = min(1.5 * diameter_m, CUTOUT_WEB_THICKNESSES * thickness_m)
    insert = insert_for(kind, thread)
    if insert is not None and insert.wall_m:
        web = max(insert.wall_m, thickness_m / 2)
    stack = screw_stack(thread) if screw and shape is HoleShape.ROUND else None
    return Required(
        reach=reach,
        size_m=size,
        web_m=web,
        washer_m=stack.washer_od_m / 2 if stack else 0.0,
        screw=screw,
        tapped=kind in (HoleKind.TAPPED, HoleKind.INSERT),
        long=(across_m or 0.0) > LONG_SLOT_M,
    )


def bend_web_m(tree: Tree, joint: Joint, wanted: Required) -> tuple[float, str]:
    """Least gap from a hole's edge to where a bend begins [m], and why ("heat", "form", ...)."""
    thickness = tree.part.thickness_m
    if not joint.angle_deg:
        return 0.0, "bend"
    heat = heated_m(tree.sheet, thickness, joint.allowance_m)
    if heat:
        web, cause = (heat - joint.allowance_m) / 2, "heat"
    else:
        outside = (3 if wanted.long else 2) * thickness + joint.radius_m
        web, cause = max(0.0, outside - joint.setback_m), "form"
    return max(web, 0.0), cause


def bend_room_m(tree: Tree, joint: Joint, wanted: Required) -> float:
    """The same, so that its washer lies flat too [m]."""
    web, _ = bend_web_m(tree, joint, wanted)
    return max(web, wanted.washer_m - min(wanted.reach)) if joint.angle_deg else web


def shortfalls(
    tree: Tree, node_sides: tuple[Side, ...], wanted: Required, at: tuple[float, float]
) -> list[Shortfall]:
    """Every side where a hole at a point of its panel lacks room."""
    found = []
    for side in node_sides:
        axis = side.axis
        gap = (side.at_m - at[axis]) * side.out - wanted.reach[axis]
        low = at[1 - axis] - wanted.reach[1 - axis]
        high = at[1 - axis] + wanted.reach[1 - axis]
        covered = 0.0
        for start, end, joint in side.bends:
            beside = min(high, end) - max(low, start)
            if beside <= 0:
                continue
            covered += beside
            if not joint.angle_deg:
                continue
            web, cause = bend_web_m(tree, joint, wanted)
            least = bend_room_m(tree, joint, wanted)
            if gap < 0:
                cause = "bend"
            elif gap >= web - _TOUCH_M:
                cause = "washer"
            if gap < least - _TOUCH_M:
                found.append(Shortfall(cause, side, gap, least, joint))
        if covered < high - low - _TOUCH_M and gap < wanted.web_m - _TOUCH_M:
            found.append(Shortfall("edge", side, gap, wanted.web_m, None))
    return found


_TOUCH_M = 1e-6
"""Lengths closer than this [m] are equal: typed inches leave such crumbs."""


def safe_box(
    tree: Tree, node_sides: tuple[Side, ...], wanted: Required
) -> tuple[float, float, float, float]:
    """Where the centre of a hole lacks no room on any side: least x and y, greatest x and y [m].

    Empty (least above greatest) where the panel is too small for it.
    """
    box = [0.0, 0.0, 0.0, 0.0]
    for side in node_sides:
        least = 0.0
        webs = [bend_room_m(tree, joint, wanted) for _, _, joint in side.bends]
        whole = len(side.bends) == 1 and _whole(node_sides, side)
        least = max([0.0, *webs] if whole else [wanted.web_m, *webs])
        least += wanted.reach[side.axis]
        box[side.axis + (2 if side.out > 0 else 0)] = side.at_m - side.out * least
    loss = _ROUND_LOSS * tree.part.corner_m
    return box[0] + loss, box[1] + loss, box[2] - loss, box[3] - loss


def _whole(node_sides: tuple[Side, ...], side: Side) -> bool:
    """A single bend runs along the whole side."""
    ends = sorted(other.at_m for other in node_sides if other.axis != side.axis)
    start, end, _ = side.bends[0]
    return start <= ends[0] + _TOUCH_M and end >= ends[1] - _TOUCH_M
