"""The folded strip of a part as a plane frame: from where it is screwed on to what it carries.

The frame runs along the middle of the sheet, through every bend as a sharp, rigid corner (longer
than the rounded sheet, so on the safe side). Each panel is as wide as the narrower of itself and
its bends on the way. Panels off the way, and sheet beside it, only add their mass. It is for parts
that lie in one plane (``in_plane``); for others see ``domain.fabrication.strength.load_path``.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, hypot, pi, radians, sin, tan

from domain.build.choices import PanelEdge
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.shape.panel_tree import Joint, Tree
from domain.fabrication.strength.net_section import NEAR_M, Cuts, hole_size_m
from domain.fabrication.strength.payload import Burden, way_to_root
from domain.fabrication.strength.plane_frame import FIXED, Frame, FrameNode, Member

_PIECES = 4
"""Members that a straight stretch is cut into, so that it can bend in a mode."""

_MOST_ROWS = 40
"""More rows of screws than this are thinned out."""

_SIDES = (PanelEdge.LEFT, PanelEdge.RIGHT)
_BACK = (PanelEdge.NEAR, PanelEdge.LEFT)
_FREE = (False, False, False)


@dataclass(frozen=True, slots=True)
class Station:
    """A weakened section: member, distance from its start, width and thickness left [m]."""

    member: int
    at_m: float
    width_m: float
    thickness_m: float


@dataclass(frozen=True, slots=True)
class StripLoad:
    """A burden on the frame: node, mass [kg], height [m] and the direction out of its panel."""

    node: int
    mass_kg: float
    height_m: float
    normal: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Strip:
    """The frame of a part.

    ``panels`` and ``widths_m`` are per member, ``bends`` the panel that is bent at a node.
    ``overhang_m`` is the longest way along the strip from a fixing; ``own_mass_kg`` is the flat
    sheet's between bends; ``screwed`` is whether there are screws, else the strip is held at its
    bare end.
    """

    frame: Frame
    panels: tuple[str, ...]
    widths_m: tuple[float, ...]
    bends: dict[int, str]
    loads: tuple[StripLoad, ...]
    stations: tuple[Station, ...]
    screwed: bool
    overhang_m: float
    own_mass_kg: float


def in_plane(tree: Tree, ends: Iterable[str]) -> bool:
    """Whether the load paths from the root to these panels lie in one plane.

    They do if the bends on the way are at two opposite edges of the root, and at the far edges of
    all other panels.
    """
    panels = {id: node.panel for id, node in tree.nodes.items()}
    on = {id for end in ends for id in way_to_root(panels, end)} - {tree.root}
    aside = {panels[id].edge in _SIDES for id in on if panels[id].joins == tree.root}
    onward = {panels[id].edge for id in on if panels[id].joins != tree.root}
    return len(aside) < 2 and onward <= {PanelEdge.FAR}


def lay_strip(
    tree: Tree,
    burdens: list[Burden],
    held: tuple[str, ...],
    screws: list[PlacedHole],
    holes: Sequence[PlacedHole],
    modulus_pa: float,
    density_kg_m3: float,
) -> Strip | None:
    """The strip of a part in one plane; ``None`` where all that it carries sits on its screws.

    ``held`` are panels, ``screws`` the holes that hold them, ``holes`` all holes of the part.
    """
    builder = _StripBuilder(tree, burdens, held, screws, modulus_pa, density_kg_m3)
    builder.build()
    return builder.finish(holes)


@dataclass(slots=True)
class _Run:
    """One straight stretch: nodes by their place along the panel, in order."""

    panel: str
    width_m: float
    places: list[tuple[float, int]]
    normal: tuple[float, float]

    def node(self, along: float) -> int:
        return min(self.places, key=lambda place: abs(place[0] - along))[1]


class _StripBuilder:
    """Lays the panels out in the plane, one run after another."""

    def __init__(
        self,
        tree: Tree,
        burdens: list[Burden],
        held: tuple[str, ...],
        screws: list[PlacedHole],
        modulus_pa: float,
        density_kg_m3: float,
    ) -> None:
        self.tree, self.burdens, self.held, self.screws = tree, burdens, held, screws
        self.modulus_pa, self.density_kg_m3 = modulus_pa, density_kg_m3
        self.thickness = tree.part.thickness_m
        self.nodes: list[tuple[float, float]] = []
        self.runs: dict[str, _Run] = {}
        self.members: list[tuple[int, int, _Run, float]] = []
        self.corners: list[tuple[int, Joint]] = []
        panels = {id: node.panel for id, node in tree.nodes.items()}
        self.panels = panels
        ends = [*held, *(burden.panel for burden in burdens)]
        self.needed = {id for end in ends for id in way_to_root(panels, end)}
        self.root_joints = self._onward(tree.root)
        root = panels[tree.root]
        self.sideways = root.width_m > root.length_m
        if self.root_joints:
            self.sideways = panels[self.root_joints[0].child].edge in _SIDES

    def build(self) -> None:
        root = self.panels[self.tree.root]
        long, across = root.length_m, root.width_m
        if self.sideways:
            long, across = across, long
        low, high = 0.0, long
        for joint in self.root_joints:
            if self.panels[joint.child].edge in _BACK:
                low = max(low, self._cut(joint))
            else:
                high = min(high, long - self._cut(joint))
        width = min([across, *map(_span, self.root_joints)])
        run = self._run(root.id, width, 0.0, 1, low, high, self._stops(root.id))
        for joint in self.root_joints:
            if self.panels[joint.child].edge in _BACK:
                self._bend(joint, run.places[0][1], pi, -1)
            else:
                self._bend(joint, run.places[-1][1], 0.0, 1)

    def _bend(self, joint: Joint, corner: int, heading: float, side: int) -> None:
        """Lay the child of a bend; ``side`` is 1 where its marked face looks to the left."""
        panel = self.panels[joint.child]
        heading += side * radians(joint.angle_deg) * (1 if joint.up else -1)
        self.corners.append((corner, joint))
        onward = self._onward(panel.id)
        end = min([panel.length_m, *(panel.length_m - self._cut(j) for j in onward)])
        width = min([panel.width_m, _span(joint), *map(_span, onward)])
        stops = self._stops(panel.id)
        run = self._run(panel.id, width, heading, side, self._cut(joint), end, stops, corner)
        for child in onward:
            self._bend(child, run.places[-1][1], heading, side)

    def _run(
        self,
        id: str,
        width: float,
        heading: float,
        side: int,
        low: float,
        high: float,
        stops: list[float],
        corner: int | None = None,
    ) -> _Run:
        """Nodes and members along one panel, from ``corner`` on if there is one."""
        high = max(high, low + 10 * NEAR_M)
        marks = [low]
        for stop in sorted(stops):
            if marks[-1] + NEAR_M < stop < high - NEAR_M:
                marks.append(stop)
        marks.append(high)
        places = [low]
        for start, end in pairwise(marks):
            pieces = max(1, round((end - start) / (high - low) * _PIECES))
            places += [start + (end - start) * i / pieces for i in range(1, pieces + 1)]
        x, y = self.nodes[corner] if corner is not None else (0.0, 0.0)
        run = _Run(id, width, [], (-side * sin(heading), side * cos(heading)))
        for place in places:
            if corner is not None and not run.places:
                node = corner
            else:
                node = len(self.nodes)
                reach = place - low
                self.nodes.append((x + reach * cos(heading), y + reach * sin(heading)))
            if run.places:
                last_place, last = run.places[-1]
                self.members.append((last, node, run, last_place))
            run.places.append((place, node))
        self.runs[id] = run
        return run

    def finish(self, holes: Sequence[PlacedHole]) -> Strip | None:
        fixed = self._fixed()
        loads = tuple(
            StripLoad(
                run.node(self._along(b.panel, b.x_m, b.y_m)), b.mass_kg, b.height_m, run.normal
            )
            for b in self.burdens
            if (run := self.runs.get(b.panel))
        )
        if not fixed or all(load.node in fixed for load in loads):
            return None
        masses = [0.0] * len(self.nodes)
        for load in loads:
            masses[load.node] += load.mass_kg
        own = self._own_mass(masses)
        nodes = tuple(
            FrameNode(x, y, FIXED if i in fixed else _FREE, masses[i])
            for i, (x, y) in enumerate(self.nodes)
        )
        return Strip(
            frame=Frame(nodes, tuple(self._member(*member[:3]) for member in self.members)),
            panels=tuple(run.panel for _, _, run, _ in self.members),
            widths_m=tuple(run.width_m for _, _, run, _ in self.members),
            bends={corner: joint.child for corner, joint in self.corners},
            loads=loads,
            stations=tuple(self._weakened(holes)),
            screwed=bool(self.screws),
            overhang_m=self._overhang(fixed),
            own_mass_kg=own,
        )

    def _member(self, start: int, end: int, run: _Run) -> Member:
        area = run.width_m * self.thickness
        inertia = area * self.thickness**2 / 12
        return Member(start, end, self.modulus_pa, area, inertia, area * self.density_kg_m3)

    def _onward(self, panel: str) -> list[Joint]:
        joints = self.tree.nodes[panel].joints.values()
        return [joint for some in joints for joint in some if joint.child in self.needed]

    def _along(self, panel: str, x_m: float, y_m: float) -> float:
        return x_m if panel == self.tree.root and self.sideways else y_m

    def _stops(self, panel: str) -> list[float]:
        """Places along a panel where something is held or carried."""
        loads = [self._along(panel, b.x_m, b.y_m) for b in self.burdens if b.panel == panel]
        return [*loads, *self._rows(panel)]

    def _rows(self, panel: str) -> list[float]:
        """Places along a panel where screws hold it; of very many, those that matter.

        Sheet between two rows that carries nothing does not move: the outer rows count, and those
        on both sides of every burden.
        """
        rows = sorted({self._along(panel, h.x_m, h.y_m) for h in self.screws if h.panel == panel})
        if len(rows) <= _MOST_ROWS:
            return rows
        kept = {0, len(rows) - 1}
        for burden in self.burdens:
            if burden.panel == panel:
                place = bisect_left(rows, self._along(panel, burden.x_m, burden.y_m))
                kept |= {max(0, place - 1), min(place, len(rows) - 1)}
        return [rows[i] for i in sorted(kept)]

    def _cut(self, joint: Joint) -> float:
        """From the mould line to where the middles of the two panels meet [m]."""
        return self.thickness / 2 * tan(radians(joint.angle_deg) / 2)

    def _fixed(self) -> set[int]:
        """Nodes that are held: at each screw, or the end of a panel that has none."""
        fixed = set()
        for id in self.held:
            if run := self.runs.get(id):
                fixed |= {run.node(row) for row in self._rows(id)} or {self._bare_end(id, run)}
        return fixed

    def _bare_end(self, id: str, run: _Run) -> int:
        """Where a panel without screws is held: at its end away from the strip."""
        back = id == self.tree.root and all(
            self.panels[joint.child].edge not in _BACK for joint in self.root_joints
        )
        return run.places[0 if back else -1][1]

    def _own_mass(self, masses: list[float]) -> float:
        """Put the mass of sheet off the way where it hangs on; the mass of all sheet [kg]."""
        surface = self.thickness * self.density_kg_m3
        total = 0.0
        for id, node in self.tree.nodes.items():
            x0, y0, x1, y1 = node.core
            mass = (x1 - x0) * (y1 - y0) * surface
            total += mass
            if run := self.runs.get(id):
                wide = y1 - y0 if id == self.tree.root and self.sideways else x1 - x0
                beside = mass * max(0.0, 1 - run.width_m / wide)
                for _, at in run.places:
                    masses[at] += beside / len(run.places)
                continue
            joint = node.joint
            while joint and joint.parent not in self.runs:
                joint = self.tree.nodes[joint.parent].joint
            if joint:
                on, out = self.panels[joint.parent], joint.outward
                x, y = on.width_m * (1 + out[0]) / 2, on.length_m * (1 + out[1]) / 2
                masses[self.runs[on.id].node(self._along(on.id, x, y))] += mass
        return total

    def _weakened(self, holes: Sequence[PlacedHole]) -> list[Station]:
        """Sections weakened by holes other than the fixing screws', and scored bends."""
        fixing = {hole.id for hole in self.screws}
        cut: dict[str, Cuts] = {}
        for id in self.runs:
            axis = 0 if id == self.tree.root and self.sideways else 1
            sizes = [hole_size_m(h, axis) for h in holes if h.panel == id and h.id not in fixing]
            cut[id] = Cuts(sizes)
        found = []
        for number, (start, end, run, place) in enumerate(self.members):
            length = self._length(start, end)
            here = cut[run.panel]
            for along in here.between(place - NEAR_M, place + length + NEAR_M):
                left = max(run.width_m - here.lost(along), run.width_m / 100)
                at = min(max(along - place, 0.0), length)
                found.append(Station(number, at, left, self.thickness))
            for corner, joint in self.corners:
                score = self.panels[joint.child].score_m
                if score and corner in (start, end):
                    left = max(self.thickness - score, self.thickness / 100)
                    at = 0.0 if corner == start else length
                    found.append(Station(number, at, run.width_m, left))
        return found

    def _length(self, start: int, end: int) -> float:
        (x0, y0), (x1, y1) = self.nodes[start], self.nodes[end]
        return hypot(x1 - x0, y1 - y0)

    def _overhang(self, fixed: set[int]) -> float:
        """The longest way along the strip from the nearest fixing [m]."""
        far = dict.fromkeys(fixed, 0.0)
        near: dict[int, list[tuple[int, float]]] = {}
        for start, end, _, _ in self.members:
            length = self._length(start, end)
            near.setdefault(start, []).append((end, length))
            near.setdefault(end, []).append((start, length))
        changed = list(fixed)
        while changed:
            node = changed.pop()
            for other, length in near.get(node, []):
                if far[node] + length < far.get(other, float("inf")):
                    far[other] = far[node] + length
                    changed.append(other)
        return max(far.values())


def _span(joint: Joint) -> float:
    return joint.span[1] - joint.span[0]
