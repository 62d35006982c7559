"""The load paths in space from where a part is held to what it carries, as pieces of strip.

Used where panels hang on left or right edges, so that the part does not lie in one plane. Each
panel hangs on the held panel that is the fewest bends away: what also holds it from another side
is left out, which is on the safe side. A piece runs along the middle of the sheet, straight away
from a bend or on towards the next one; sheet beside it is rigid. Bends are sharp corners,
longer than the rounded sheet.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import radians, tan

from domain.fabrication.shape.folding import PanelFrame
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.shape.panel_tree import Joint, Tree
from domain.fabrication.shape.space import Space
from domain.fabrication.strength.net_section import NEAR_M, Cuts, hole_size_m
from domain.fabrication.strength.payload import Burden

_SOLID = 100.0
"""A section keeps at least this part of its width or thickness: holes and scores are cut off."""


@dataclass(frozen=True, slots=True)
class Section:
    """A place to look at: point [m], width and thickness left [m], the panel, whether its bend."""

    at: Space
    width_m: float
    thickness_m: float
    panel: str
    bend: bool = False


@dataclass(slots=True)
class Piece:
    """A straight piece of strip [m]: its ends, its panel and width, and which piece it hangs on.

    ``axes`` are the unit vectors along it, across its width and out of the sheet; ``masses`` hang
    on its outer end: (mass [kg], place). A bend is a piece of no length.
    """

    start: Space
    end: Space
    axes: tuple[Space, Space, Space]
    panel: str
    width_m: float
    parent: int | None
    masses: list[tuple[float, Space]] = field(default_factory=list)
    sections: list[Section] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class LoadPath:
    """All pieces, each after the one that it hangs on.

    ``carried`` are the places that a load's sag is looked for: (piece, place). ``load_kg`` is what
    the part carries, what sits right on its screws too; ``own_kg`` the flat sheet's mass.
    """

    pieces: list[Piece]
    carried: list[tuple[int, Space]]
    load_kg: float
    own_kg: float
    thickness_m: float


@dataclass(frozen=True, slots=True)
class _BendExit:
    """Where a bend leaves a panel: middle of the bend [m], axis and direction out, its joint."""

    at: tuple[float, float]
    axis: int
    out: int
    joint: Joint
    other: str


def trace_load_paths(
    tree: Tree,
    frames: dict[str, PanelFrame],
    burdens: list[Burden],
    held: tuple[str, ...],
    screws: list[PlacedHole],
    holes: Sequence[PlacedHole],
    density_kg_m3: float,
) -> LoadPath:
    """The load paths of a part; arguments as ``domain.fabrication.strength.strip.lay_strip``."""
    tracer = _PathTracer(tree, frames, burdens, screws, holes, density_kg_m3)
    tracer.trace(held)
    return LoadPath(
        tracer.pieces,
        tracer.carried,
        sum(burden.mass_kg for burden in burdens),
        sum(tracer.own.values()),
        tracer.thickness,
    )


class _PathTracer:
    def __init__(
        self,
        tree: Tree,
        frames: dict[str, PanelFrame],
        burdens: list[Burden],
        screws: list[PlacedHole],
        holes: Sequence[PlacedHole],
        density_kg_m3: float,
    ) -> None:
        self.tree, self.frames, self.screws = tree, frames, screws
        self.thickness = tree.part.thickness_m
        self.pieces: list[Piece] = []
        self.carried: list[tuple[int, Space]] = []
        self.loads: dict[str, list[Burden]] = {}
        for burden in burdens:
            self.loads.setdefault(burden.panel, []).append(burden)
        fixing = {hole.id for hole in screws}
        self.holes: dict[str, list[PlacedHole]] = {}
        for hole in holes:
            if hole.id not in fixing:
                self.holes.setdefault(hole.panel, []).append(hole)
        surface = self.thickness * density_kg_m3
        self.own = {
            id: (node.core[2] - node.core[0]) * (node.core[3] - node.core[1]) * surface
            for id, node in tree.nodes.items()
        }
        self.onward: dict[str, list[_BendExit]] = {}
        self.needed: set[str] = set()

    def trace(self, held: tuple[str, ...]) -> None:
        self._spread(held)
        for id in held:
            for bend_exit in self.onward[id]:
                if bend_exit.other in self.needed:
                    start = self._fixing(id, bend_exit.at, bend_exit.axis, bend_exit.out)
                    span = _span(bend_exit.joint)
                    piece = self._piece(id, start, bend_exit.at, bend_exit.axis, span, None)
                    self._cross(bend_exit, piece)
            for burden in self.loads.get(id, []):
                at = burden.x_m, burden.y_m
                ends = [self._fixing(id, at, axis, 0) for axis in (0, 1)]
                gaps = [abs(ends[axis][axis] - at[axis]) for axis in (0, 1)]
                axis = 0 if gaps[0] < gaps[1] else 1
                if gaps[axis] > NEAR_M:
                    piece = self._piece(id, ends[axis], at, axis, float("inf"), None)
                    self._load(piece, burden)

    def _spread(self, held: tuple[str, ...]) -> None:
        """Which panel hangs on which: the held ones first, then their neighbours, and so on."""
        came: dict[str, str] = dict.fromkeys(held, "")
        order = list(held)
        for id in order:
            self.onward[id] = []
            for bend_exit in self._exits(id):
                if bend_exit.other not in came:
                    came[bend_exit.other] = id
                    order.append(bend_exit.other)
                    self.onward[id].append(bend_exit)
        for id in reversed(order):
            if id in self.loads or id in self.needed:
                self.needed |= {id, came[id]}

    def _exits(self, id: str) -> list[_BendExit]:
        node = self.tree.nodes[id]
        found = []
        if node.joint:
            at = (sum(node.joint.span) / 2, self._cut(node.joint))
            found.append(_BendExit(at, 1, -1, node.joint, node.joint.parent))
        for joints in node.joints.values():
            for joint in joints:
                middle, cut, out = sum(joint.span) / 2, self._cut(joint), joint.outward
                x, y = (joint.corner[k] + joint.along[k] * middle - out[k] * cut for k in (0, 1))
                axis = 0 if out[0] else 1
                found.append(_BendExit((x, y), axis, round(out[axis]), joint, joint.child))
        return found

    def _fixing(self, id: str, at: tuple[float, float], axis: int, out: int) -> tuple[float, float]:
        """Where a panel is held on the way to a point: abreast of its nearest screw, or its end."""
        rows = [(hole.x_m, hole.y_m)[axis] for hole in self.screws if hole.panel == id]
        panel = self.tree.nodes[id].panel
        whole = (panel.width_m, panel.length_m)[axis]
        if rows:
            row = min(rows, key=lambda place: abs(place - at[axis]))
        elif out:
            row = 0.0 if out > 0 else whole
        else:
            row = 0.0
        return (row, at[1]) if axis == 0 else (at[0], row)

    def _cross(self, bend_exit: _BendExit, parent: int) -> None:
        """Round a bend into the next panel, and along that to all that hangs on it."""
        id, joint = bend_exit.other, bend_exit.joint
        panel, frame = self.tree.nodes[id].panel, self.frames[id]
        back = next(each for each in self._exits(id) if each.joint is joint)
        at, axis, out = back.at, back.axis, -back.out
        score = self.tree.nodes[joint.child].panel.score_m or 0.0
        left = max(self.thickness - score, self.thickness / _SOLID)
        corner = self._point(id, at)
        axes = _axes(frame, axis, out)
        bend = Section(corner, _span(joint), left, joint.child, True)
        piece = Piece(corner, corner, axes, id, _span(joint), parent, [], [bend])
        self.pieces.append(piece)
        current = len(self.pieces) - 1
        onward = self.onward[id]
        ahead = [each for each in onward if each.other in self.needed]
        in_line = [each for each in ahead if each.axis == axis]
        width = min([_span(joint), *(_span(each.joint) for each in in_line)])
        stops: list[tuple[float, _BendExit | Burden]] = [
            ((each.at[axis] - at[axis]) * out, each) for each in ahead
        ]
        for burden in self.loads.get(id, []):
            stops.append((((burden.x_m, burden.y_m)[axis] - at[axis]) * out, burden))
        reached = 0.0
        for far, stop in sorted(stops, key=lambda each: each[0]):
            if far > reached + NEAR_M:
                ends = [_along(at, axis, out * place) for place in (reached, far)]
                current = self._piece(id, ends[0], ends[1], axis, width, current)
                reached = far
            if isinstance(stop, Burden):
                self._load(current, stop)
            elif stop.axis == axis:
                self._cross(stop, current)
            else:
                start = _along(at, axis, out * reached)
                wide = _span(stop.joint)
                leg = self._piece(id, start, stop.at, stop.axis, wide, current)
                self._cross(stop, leg)
        x0, y0, x1, y1 = self.tree.nodes[id].core
        centre = [(x0 + x1) / 2, (y0 + y1) / 2]
        centre[axis] = at[axis] + out * max(reached, (centre[axis] - at[axis]) * out)
        self.pieces[current].masses.append((self.own[id], self._point(id, (centre[0], centre[1]))))
        for each in onward:
            if each.other not in self.needed:
                self.pieces[current].masses += self._hanging(each.other)
        if self.loads.get(id):
            ends = [(0.0, 0.0), (panel.width_m, 0.0), (0.0, panel.length_m)]
            for place in (*ends, (panel.width_m, panel.length_m)):
                self.carried.append((current, self._point(id, place)))

    def _hanging(self, id: str) -> list[tuple[float, Space]]:
        """The masses of a panel that carries nothing, and of all beyond it."""
        x0, y0, x1, y1 = self.tree.nodes[id].core
        found = [(self.own[id], self._point(id, ((x0 + x1) / 2, (y0 + y1) / 2)))]
        for bend_exit in self.onward[id]:
            found += self._hanging(bend_exit.other)
        return found

    def _load(self, piece: int, burden: Burden) -> None:
        frame = self.frames[burden.panel]
        place = frame.at(burden.x_m, burden.y_m, burden.height_m - self.thickness / 2)
        self.pieces[piece].masses.append((burden.mass_kg, place))
        self.carried.append((piece, place))

    def _piece(
        self,
        id: str,
        start: tuple[float, float],
        end: tuple[float, float],
        axis: int,
        width: float,
        parent: int | None,
    ) -> int:
        """A piece of a panel from one point to another along one axis [m]."""
        out = 1 if end[axis] >= start[axis] else -1
        end = (end[0], start[1]) if axis == 0 else (start[0], end[1])
        x0, y0, x1, y1 = self.tree.nodes[id].core
        width = min(width, y1 - y0 if axis == 0 else x1 - x0)
        first, last = self._point(id, start), self._point(id, end)
        axes = _axes(self.frames[id], axis, out)
        low, high = sorted((start[axis], end[axis]))
        sections = [Section(at, width, self.thickness, id) for at in (first, last)]
        cuts = Cuts([hole_size_m(hole, axis) for hole in self.holes.get(id, [])])
        for along in cuts.between(low - NEAR_M, high + NEAR_M):
            left = max(width - cuts.lost(along), width / _SOLID)
            at = self._point(id, (along, start[1]) if axis == 0 else (start[0], along))
            sections.append(Section(at, left, self.thickness, id))
        self.pieces.append(Piece(first, last, axes, id, width, parent, [], sections))
        return len(self.pieces) - 1

    def _point(self, id: str, at: tuple[float, float]) -> Space:
        """A point of the middle of a panel's sheet, in space."""
        return self.frames[id].at(at[0], at[1], -self.thickness / 2)

    def _cut(self, joint: Joint) -> float:
        """From the mould line to where the middles of the two panels meet [m]."""
        return self.thickness / 2 * tan(radians(joint.angle_deg) / 2)


def _axes(frame: PanelFrame, axis: int, out: int) -> tuple[Space, Space, Space]:
    along, across = (frame.x_axis, frame.y_axis) if axis == 0 else (frame.y_axis, frame.x_axis)
    return (out * along[0], out * along[1], out * along[2]), across, frame.normal


def _along(at: tuple[float, float], axis: int, step: float) -> tuple[float, float]:
    return (at[0] + step, at[1]) if axis == 0 else (at[0], at[1] + step)


def _span(joint: Joint) -> float:
    return joint.span[1] - joint.span[0]
