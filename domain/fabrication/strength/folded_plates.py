"""A custom part as flat plates joined at sharp bends: what is bent, held and carried, and where.

Each panel is a rectangle of the sheet's middle, between the lines where the middles of two panels
would meet (longer than the rounded sheet, on the safe side). Coordinates are those of the panel
[m]. A panel on its own edge that carries and holds nothing and is less than an eighth as deep as
its bend is long is a lip: it counts with its mass alone, because it is not stiff in its own plane.
"""

from collections.abc import Iterable, Sequence
from math import radians, tan

from msgspec import Struct

from domain.fabrication.shape.folding import PanelFrame
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.shape.panel_tree import Joint, Tree, Vector
from domain.fabrication.shape.space import Space
from domain.fabrication.strength.payload import Burden

LIP = 1 / 8
"""Depth over length of its bend, below which a panel is a lip (measured on a shell model)."""

MOST_PLATES = 60
"""A part of more panels than this is not worked out."""

MOST_SCREWS = 60
"""Of more screws than this every second, third or so is counted: fewer hold less, which is safe."""

CUT_OUT = 0.15
"""A hole this large against the panel's shorter side takes its stiffness off the plate."""

_SOLID = 0.01
"""A score leaves at least this share of the thickness."""


class Plate(Struct, frozen=True):
    """A panel: least x and y, greatest x and y [m]; where its (0, 0) is and its axes in space.

    The axes are unit vectors along x, along y and out of the marked face.
    """

    panel: str
    rect: tuple[float, float, float, float]
    origin: Space
    axes: tuple[Space, Space, Space]

    @property
    def size_m(self) -> tuple[float, float]:
        """Along x and along y [m]."""
        return self.rect[2] - self.rect[0], self.rect[3] - self.rect[1]

    @property
    def middle(self) -> Vector:
        """Its centre [m]."""
        return (self.rect[0] + self.rect[2]) / 2, (self.rect[1] + self.rect[3]) / 2

    def inside(self, x_m: float, y_m: float) -> Vector:
        """The point of the plate that is nearest to a point of its plane [m]."""
        x0, y0, x1, y1 = self.rect
        return min(max(x_m, x0), x1), min(max(y_m, y0), y1)


class Fold(Struct, frozen=True):
    """A bend between two plates, by their places in the list.

    ``ends`` are its two ends on the parent and on the child, ``outward`` points away from the
    parent; the child's own way out is up its y. ``left_m`` is the thickness that a score leaves.
    """

    parent: int
    child: int
    ends: tuple[tuple[Vector, Vector], tuple[Vector, Vector]]
    outward: Vector
    length_m: float
    left_m: float


class Clamp(Struct, frozen=True):
    """A screw that holds the part: its hole, plate and place, radius of its washer or head [m]."""

    hole: str
    plate: int
    x_m: float
    y_m: float
    radius_m: float


class Device(Struct, frozen=True):
    """A mass on a plate [kg], its centre ``height_m`` off the sheet's middle.

    It stands on ``feet``, each of ``foot_m`` radius; ``size_m`` is along, across and up.
    """

    plate: int
    x_m: float
    y_m: float
    mass_kg: float
    height_m: float
    size_m: Space
    turn_deg: float
    feet: tuple[Vector, ...]
    foot_m: float


class Lip(Struct, frozen=True):
    """The mass of a lip [kg], spread along its bend on the plate that carries it."""

    plate: int
    ends: tuple[Vector, Vector]
    mass_kg: float


class Folded(Struct, frozen=True):
    """A part as plates. ``holes`` are all of each plate's, ``own_kg`` the mass of all sheet."""

    plates: tuple[Plate, ...]
    folds: tuple[Fold, ...]
    clamps: tuple[Clamp, ...]
    devices: tuple[Device, ...]
    lips: tuple[Lip, ...]
    holes: tuple[tuple[PlacedHole, ...], ...]
    thickness_m: float
    density_kg_m3: float
    own_kg: float

    @property
    def shortest_m(self) -> float:
        """The shortest side of any plate [m]."""
        return min(min(plate.size_m) for plate in self.plates)


def fold_plates(
    tree: Tree,
    frames: dict[str, PanelFrame],
    burdens: Sequence[Burden],
    screws: Iterable[PlacedHole],
    holes: Iterable[PlacedHole],
    radius_m: dict[str, float],
    density_kg_m3: float,
) -> Folded | None:
    """A part as plates; ``None`` where it has too many panels.

    ``screws`` hold it, ``holes`` are all of it; ``radius_m`` are the radii under their heads by
    hole [m]. All in the order of the tree.
    """
    thickness = tree.part.thickness_m
    screws = list(screws)
    screws = screws[:: 1 + (len(screws) - 1) // MOST_SCREWS]
    busy = {burden.panel for burden in burdens} | {hole.panel for hole in screws}
    lips = {
        id
        for id, node in tree.nodes.items()
        if node.joint
        and not node.joints
        and id not in busy
        and node.panel.length_m < LIP * (node.joint.span[1] - node.joint.span[0])
    }
    kept = [id for id in tree.nodes if id not in lips]
    if len(kept) > MOST_PLATES:
        return None
    number = {id: place for place, id in enumerate(kept)}
    plates = tuple(_plate(tree, frames[id], id, lips) for id in kept)
    own: dict[str, float] = {}
    for id, node in tree.nodes.items():
        x0, y0, x1, y1 = node.core
        own[id] = (x1 - x0) * (y1 - y0) * thickness * density_kg_m3
    folds, hems = [], []
    for joint in tree.joints:
        cut = _cut(joint, thickness)
        start, end = (
            (
                joint.corner[0] + joint.along[0] * at - joint.outward[0] * cut,
                joint.corner[1] + joint.along[1] * at - joint.outward[1] * cut,
            )
            for at in joint.span
        )
        length = joint.span[1] - joint.span[0]
        if joint.child in lips:
            hems.append(Lip(number[joint.parent], (start, end), own[joint.child]))
            continue
        score = tree.nodes[joint.child].panel.score_m or 0.0
        folds.append(
            Fold(
                number[joint.parent],
                number[joint.child],
                ((start, end), ((joint.span[0], cut), (joint.span[1], cut))),
                joint.outward,
                length,
                max(thickness - score, thickness * _SOLID),
            )
        )
    by_panel: dict[str, list[PlacedHole]] = {}
    for hole in holes:
        by_panel.setdefault(hole.panel, []).append(hole)
    return Folded(
        plates=plates,
        folds=tuple(folds),
        clamps=tuple(
            Clamp(hole.id, number[hole.panel], hole.x_m, hole.y_m, radius_m[hole.id])
            for hole in screws
        ),
        devices=tuple(_device(burden, number[burden.panel], plates) for burden in burdens),
        lips=tuple(hems),
        holes=tuple(tuple(by_panel.get(id, ())) for id in kept),
        thickness_m=thickness,
        density_kg_m3=density_kg_m3,
        own_kg=sum(own.values()),
    )


def _plate(tree: Tree, frame: PanelFrame, id: str, lips: set[str]) -> Plate:
    """A panel's rectangle: cut back at each edge to where the middles of the sheets meet."""
    node, thickness = tree.nodes[id], tree.part.thickness_m
    low, high = [0.0, 0.0], [node.panel.width_m, node.panel.length_m]
    if node.joint:
        low[1] = _cut(node.joint, thickness)
    for joints in node.joints.values():
        for joint in joints:
            if joint.child in lips:
                continue
            axis = 0 if joint.outward[0] else 1
            cut = _cut(joint, thickness)
            size = (node.panel.width_m, node.panel.length_m)[axis]
            if joint.outward[axis] > 0:
                high[axis] = min(high[axis], size - cut)
            else:
                low[axis] = max(low[axis], cut)
    return Plate(
        id,
        (low[0], low[1], high[0], high[1]),
        frame.at(0.0, 0.0, -thickness / 2),
        (frame.x_axis, frame.y_axis, frame.normal),
    )


def _device(burden: Burden, plate: int, plates: Sequence[Plate]) -> Device:
    on = plates[plate]
    feet = tuple(on.inside(x, y) for x, y in burden.feet)
    return Device(
        plate,
        burden.x_m,
        burden.y_m,
        burden.mass_kg,
        burden.height_m,
        burden.size_m,
        burden.turn_deg,
        feet,
        burden.foot_m,
    )


def _cut(joint: Joint, thickness_m: float) -> float:
    """From the mould line to where the middles of the two panels meet [m]."""
    return thickness_m / 2 * tan(radians(joint.angle_deg) / 2)
