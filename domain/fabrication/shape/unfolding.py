"""A tree of panels laid flat: where each one lies, and the way round all of them."""

from msgspec import Struct

from domain.build.choices import PanelEdge
from domain.fabrication.shape.panel_tree import Joint, Node, Rect, Tree
from domain.fabrication.shape.path import Point

_TURNS = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}
"""Cosine and sine of the quarter turns, exactly."""

_EDGE_TURN = {PanelEdge.FAR: 0, PanelEdge.LEFT: 90, PanelEdge.NEAR: 180, PanelEdge.RIGHT: 270}


class Placement(Struct, frozen=True):
    """Where a panel's (0, 0) lies in the flat pattern [m] and how it is turned there.

    ``core`` is the flat of the panel between its bends, in the panel's own coordinates.
    """

    x_m: float
    y_m: float
    turn_deg: int
    core: Rect

    def at(self, x_m: float, y_m: float) -> Point:
        """A point of the panel, in flat coordinates [m]."""
        c, s = _TURNS[self.turn_deg]
        return self.x_m + c * x_m - s * y_m, self.y_m + s * x_m + c * y_m

    def back(self, x_m: float, y_m: float) -> Point:
        """A point in flat coordinates, in the panel's own [m]."""
        c, s = _TURNS[self.turn_deg]
        dx, dy = x_m - self.x_m, y_m - self.y_m
        return c * dx + s * dy, c * dy - s * dx

    @property
    def rect(self) -> Rect:
        """The core in flat coordinates [m]."""
        x0, y0, x1, y1 = self.core
        (ax, ay), (bx, by) = self.at(x0, y0), self.at(x1, y1)
        return min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)


def placements(tree: Tree) -> dict[str, Placement]:
    """Where every panel lies, with the root's (0, 0) at the origin."""
    found: dict[str, Placement] = {}
    for id, node in tree.nodes.items():
        joint = node.joint
        if joint is None:
            found[id] = Placement(0.0, 0.0, 0, node.core)
            continue
        parent = found[joint.parent]
        shift = joint.allowance_m - 2 * joint.setback_m
        x, y = parent.at(
            joint.corner[0] + joint.outward[0] * shift, joint.corner[1] + joint.outward[1] * shift
        )
        turn = (parent.turn_deg + _EDGE_TURN[node.panel.edge]) % 360
        found[id] = Placement(x, y, turn, node.core)
    return found


def corners_round(tree: Tree, id: str) -> list[tuple[str, float, float]]:
    """The corners round a panel and all that hangs on it, counter-clockwise: (panel, x, y)."""
    node = tree.nodes[id]
    x0, y0, x1, y1 = node.core
    found: list[tuple[str, float, float]] = []
    if node.joint:
        found += [(id, node.joint.span[1], y0)]
    else:
        found += [(id, x0, y0), *_detours(tree, node, PanelEdge.NEAR)]
    found += [(id, x1, y0), *_detours(tree, node, PanelEdge.RIGHT)]
    found += [(id, x1, y1), *_detours(tree, node, PanelEdge.FAR)]
    found += [(id, x0, y1), *_detours(tree, node, PanelEdge.LEFT)]
    if node.joint:
        found += [(id, x0, y0), (id, node.joint.span[0], y0)]
    return found


def _detours(tree: Tree, node: Node, edge: PanelEdge) -> list[tuple[str, float, float]]:
    found: list[tuple[str, float, float]] = []
    for joint in sorted(node.joints.get(edge, []), key=_along, reverse=True):
        for point, end in zip(_rim(joint), (True, False), strict=True):
            if end:
                found += [(node.panel.id, *point), *corners_round(tree, joint.child)]
            else:
                found.append((node.panel.id, *point))
    return found


def _along(joint: Joint) -> float:
    corner = joint.corner[0] * joint.along[0] + joint.corner[1] * joint.along[1]
    return corner + joint.span[1]


def _rim(joint: Joint) -> tuple[Point, Point]:
    """Both ends of a bend on the edge of the parent's core, the child's right end first."""
    back = joint.setback_m + joint.strip_m
    first, second = (
        (
            joint.corner[0] + joint.along[0] * x - joint.outward[0] * back,
            joint.corner[1] + joint.along[1] * x - joint.outward[1] * back,
        )
        for x in (joint.span[1], joint.span[0])
    )
    return first, second
