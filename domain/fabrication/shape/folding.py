"""The finished part in space: where each panel lies once folded, and how much room it takes.

World axes [m] are those of the root panel: x along its width, y along its length, z out of its
marked face. A panel's frame lies on the marked face; the sheet reaches one thickness behind it.
"""

from itertools import combinations
from math import atan2, cos, pi, radians, sin

from msgspec import Struct

from domain.build.records import Build, Part
from domain.fabrication.shape.panel_tree import (
    Joint,
    NotDeveloped,
    PartRecords,
    Tree,
    build_panel_tree,
    records_by_part,
)
from domain.fabrication.shape.solid_boxes import Axes, Solid, boxes_meet
from domain.fabrication.shape.space import Space, dot, less


class PanelFrame(Struct, frozen=True):
    """A folded panel: its (0, 0) on the marked face [m], its x and y axes and the face's normal.

    ``core`` is the flat of the panel between its bends in its own coordinates.
    """

    origin: Space
    x_axis: Space
    y_axis: Space
    normal: Space
    core: tuple[float, float, float, float]

    def at(self, x_m: float, y_m: float, z_m: float = 0.0) -> Space:
        """A point of the panel in world axes [m]; ``z_m`` is above the marked face."""
        o, x, y, n = self.origin, self.x_axis, self.y_axis, self.normal
        return (
            o[0] + x[0] * x_m + y[0] * y_m + n[0] * z_m,
            o[1] + x[1] * x_m + y[1] * y_m + n[1] * z_m,
            o[2] + x[2] * x_m + y[2] * y_m + n[2] * z_m,
        )

    def back(self, point: Space) -> Space:
        """A point in world axes as (x, y, above the marked face) of the panel [m]."""
        d = less(point, self.origin)
        return dot(d, self.x_axis), dot(d, self.y_axis), dot(d, self.normal)

    def corners(self, thickness_m: float) -> tuple[Space, ...]:
        """The eight corners of the flat sheet of the panel [m], the marked face first."""
        x0, y0, x1, y1 = self.core
        flat = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        return tuple(self.at(x, y, z) for z in (0.0, -thickness_m) for x, y in flat)


class Folded(Struct, frozen=True):
    """The folded part [m].

    ``low`` is the least corner of the box round it, ``envelope`` the size of that box along the
    world axes; ``clashes`` names pairs of panels that run into each other when folded.
    """

    panels: dict[str, PanelFrame]
    envelope: Space
    low: Space
    clashes: tuple[tuple[str, str], ...]


def fold(build: Build, part: Part) -> Folded | NotDeveloped:
    """The folded part, or why it cannot be laid out. Never raises for a valid build."""
    records = records_by_part(build).get(part.id) or PartRecords(part, [], [], [])
    tree = build_panel_tree(records.part, records.panels)
    return tree if isinstance(tree, NotDeveloped) else fold_tree(tree)


def fold_tree(tree: Tree) -> Folded:
    """The folded shape of a tree of panels."""
    frames, points = _placed(tree)
    low = tuple(min(point[k] for point in points) for k in range(3))
    high = tuple(max(point[k] for point in points) for k in range(3))
    return Folded(
        panels=frames,
        envelope=(high[0] - low[0], high[1] - low[1], high[2] - low[2]),
        low=(low[0], low[1], low[2]),
        clashes=_clashes(tree, frames),
    )


def panel_frames(tree: Tree) -> dict[str, PanelFrame]:
    """Where each panel lies once folded, without looking for clashes."""
    return _placed(tree)[0]


def _placed(tree: Tree) -> tuple[dict[str, PanelFrame], list[Space]]:
    """The frames of all panels, and the corners and bulges of the folded part."""
    thickness = tree.part.thickness_m
    frames: dict[str, PanelFrame] = {}
    points: list[Space] = []
    for id, node in tree.nodes.items():
        if node.joint is None:
            frame = PanelFrame(
                (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0, 0, 1), node.core
            )
        else:
            frame, bulge = _bent(frames[node.joint.parent], node.joint, thickness, node.core)
            points += bulge
        frames[id] = frame
        points += frame.corners(thickness)
    return frames, points


def panel_solids(tree: Tree, frames: dict[str, PanelFrame]) -> dict[str, Solid]:
    """Each folded panel as a box: the flat between its bends, one thickness deep."""
    thickness = tree.part.thickness_m
    found: dict[str, Solid] = {}
    for id, frame in frames.items():
        x0, y0, x1, y1 = frame.core
        centre = frame.at((x0 + x1) / 2, (y0 + y1) / 2, -thickness / 2)
        axes: Axes = (frame.x_axis, frame.y_axis, frame.normal)
        found[id] = centre, axes, ((x1 - x0) / 2, (y1 - y0) / 2, thickness / 2)
    return found


def _clashes(tree: Tree, frames: dict[str, PanelFrame]) -> tuple[tuple[str, str], ...]:
    """Pairs of panels in the same space; bends are left out, and panels that share one."""
    if len(frames) < 3:
        return ()
    joins = {id: node.panel.joins for id, node in tree.nodes.items()}
    return tuple(
        (one, other)
        for (one, solid), (other, solid_2) in combinations(panel_solids(tree, frames).items(), 2)
        if other != joins[one] and one != joins[other] and boxes_meet(solid, solid_2)
    )


def _bent(
    parent: PanelFrame, joint: Joint, thickness_m: float, core: tuple[float, float, float, float]
) -> tuple[PanelFrame, list[Space]]:
    """The frame of a child panel, and the points where its bend bulges furthest."""
    n = parent.normal
    d = _mix(parent.x_axis, joint.outward[0], parent.y_axis, joint.outward[1])
    along = _mix(parent.x_axis, joint.along[0], parent.y_axis, joint.along[1])
    tangent = parent.at(
        joint.corner[0] - joint.outward[0] * joint.setback_m,
        joint.corner[1] - joint.outward[1] * joint.setback_m,
    )
    side = 1.0 if joint.up else -1.0
    angle = radians(joint.angle_deg)
    inside = joint.radius_m
    face = inside if joint.up else inside + thickness_m
    centre = _mix(tangent, 1.0, n, side * face)

    def rim(turned: float, radius: float) -> Space:
        out = _mix(d, sin(turned), n, -side * cos(turned))
        return _mix(centre, 1.0, out, radius)

    y_axis = _mix(d, cos(angle), n, side * sin(angle))
    normal = _mix(n, cos(angle), d, -side * sin(angle))
    start = rim(angle, face)
    origin = _mix(start, 1.0, y_axis, -joint.setback_m)
    bulge = []
    outside = inside + thickness_m
    for k in range(3):
        peak = atan2(d[k], -side * n[k]) % pi
        if 0 < peak < angle:
            point = rim(peak, outside)
            bulge += [_mix(point, 1.0, along, x) for x in joint.span]
    return PanelFrame(origin, along, y_axis, normal, core), bulge


def _mix(a: Space, p: float, b: Space, q: float) -> Space:
    return a[0] * p + b[0] * q, a[1] * p + b[1] * q, a[2] * p + b[2] * q
