"""The tree of panels of a part: which joins which at what edge, and what each bend takes.

Local coordinates of a panel [m]: x along its width from the left, y along its length from the
bend it hangs on (the root: from its near edge), seen on the marked face, both to the mould
lines, where the outside faces would meet. A panel that carries bends at an edge is cut back
there, over its whole width, to where the largest of those bends begins: the sheet beside a
narrower panel then ends at the bend, and no slit is needed.
"""

from msgspec import Struct, field

from domain.build.choices import PanelEdge
from domain.build.records import Build, Fixing, Hole, Mount, Panel, Part
from domain.fabrication.materials.sheet_materials import Material, material
from domain.fabrication.shape.bend_allowance import bend_allowance, k_factor, outside_setback
from domain.units.show import figures

Vector = tuple[float, float]
Rect = tuple[float, float, float, float]
"""Least x, least y, greatest x, greatest y [m]."""

MOST_PANELS = 200
"""A part of more panels than this is not laid out."""

UNBENT_K = 0.5
"""Neutral line of a material with no figure of its own: half the thickness."""

_TOUCH_M = 1e-7
"""A bend must be longer than this [m] along its line."""

_AXES: dict[PanelEdge, tuple[Vector, Vector, Vector]] = {
    PanelEdge.FAR: ((0, 1), (1, 0), (1, 0)),
    PanelEdge.NEAR: ((0, -1), (-1, 0), (1, 0)),
    PanelEdge.LEFT: ((-1, 0), (0, 1), (0, 1)),
    PanelEdge.RIGHT: ((1, 0), (0, -1), (0, 1)),
}
"""For each edge, in the parent's coordinates: outwards, the child's x axis, its offset."""


class NotDeveloped(Struct, frozen=True):
    """Why a part cannot be laid out; ``id`` and ``field`` name the record at fault."""

    part: str
    why: str
    table: str
    id: str
    field: str


class Joint(Struct, frozen=True):
    """A bend between two panels, in the parent's coordinates [m].

    ``corner`` is the child's (0, 0) on the parent's mould line; ``outward`` and ``along`` the
    child's y and x axes there, flat. The bend reaches from ``span[0]`` to ``span[1]`` in the
    child's x. ``strip_m`` is flat sheet of the parent between its core and the bend.
    """

    parent: str
    child: str
    outward: Vector
    along: Vector
    corner: Vector
    span: tuple[float, float]
    angle_deg: float
    up: bool
    radius_m: float
    setback_m: float
    allowance_m: float
    strip_m: float


class Node(Struct):
    """A panel in the tree: its flat core between bends, and the bends it carries by edge."""

    panel: Panel
    core: Rect
    joint: Joint | None = None
    joints: dict[PanelEdge, list[Joint]] = field(default_factory=dict)


class Tree(Struct, frozen=True):
    """All panels of a part, parents before children, the root first."""

    part: Part
    sheet: Material | None
    nodes: dict[str, Node]
    root: str

    @property
    def joints(self) -> list[Joint]:
        """All bends and flat joints."""
        return [node.joint for node in self.nodes.values() if node.joint]


class PartRecords(Struct, frozen=True):
    """The records that make one part."""

    part: Part
    panels: list[Panel]
    holes: list[Hole]
    mounts: list[Mount]
    fixings: list[Fixing] = field(default_factory=list)


def records_by_part(build: Build) -> dict[str, PartRecords]:
    """The records of every part, in one pass over the build, in the order of its parts."""
    found = {part.id: PartRecords(part, [], [], []) for part in build.parts}
    owner: dict[str, PartRecords] = {}
    for panel in build.panels:
        if panel.part in found:
            owner[panel.id] = found[panel.part]
            owner[panel.id].panels.append(panel)
    for hole in build.holes:
        if hole.panel in owner:
            owner[hole.panel].holes.append(hole)
    for mount in build.mounts:
        if mount.panel in owner:
            owner[mount.panel].mounts.append(mount)
    for fixing in build.fixings:
        if fixing.part in found:
            found[fixing.part].fixings.append(fixing)
    return found


def neutral_k(sheet: Material | None) -> float:
    """K of a material; half the thickness where there is none (unknown, or never bent)."""
    if sheet is None or sheet.k_class == "none":
        return UNBENT_K
    return k_factor(sheet.k_class)


def build_panel_tree(part: Part, panels: list[Panel]) -> Tree | NotDeveloped:
    """The tree of a part's panels, or why there is none."""
    ordered = _ordered(part, panels)
    if isinstance(ordered, NotDeveloped):
        return ordered
    sheet = material(part.material)
    k, thickness = neutral_k(sheet), part.thickness_m
    setbacks = {
        p.id: outside_setback(p.bend_deg, p.bend_radius_m, thickness) if p.joins else 0.0
        for p in ordered
    }
    cuts: dict[tuple[str, PanelEdge], float] = {}
    for panel in ordered:
        if panel.joins:
            edge = (panel.joins, panel.edge)
            cuts[edge] = max(cuts.get(edge, 0.0), setbacks[panel.id])
            cuts[panel.id, PanelEdge.NEAR] = setbacks[panel.id]
    nodes: dict[str, Node] = {}
    for panel in ordered:
        near, far, left, right = (
            cuts.get((panel.id, edge), 0.0)
            for edge in (PanelEdge.NEAR, PanelEdge.FAR, PanelEdge.LEFT, PanelEdge.RIGHT)
        )
        core = (left, near, panel.width_m - right, panel.length_m - far)
        for size, taken, name, text in (
            (panel.length_m, near + far, "length_m", "length"),
            (panel.width_m, left + right, "width_m", "width"),
        ):
            if size - taken <= _TOUCH_M:
                times = figures(taken / size, 4)
                why = f"its bends take {times} times its {text}, nothing flat is left"
                return NotDeveloped(part.id, why, "panels", panel.id, name)
        nodes[panel.id] = Node(panel, core)
    for panel in ordered[1:]:
        parent, node = nodes[panel.joins], nodes[panel.id]
        allowance = bend_allowance(panel.bend_deg, panel.bend_radius_m, thickness, k)
        cut = cuts[panel.joins, panel.edge]
        joint = _joint(parent, node, setbacks[panel.id], allowance, cut)
        if joint.span[1] - joint.span[0] <= _TOUCH_M:
            why = f"it does not touch the {panel.edge} edge of the flange that it joins"
            return NotDeveloped(part.id, why, "panels", panel.id, "offset_m")
        node.joint = joint
        parent.joints.setdefault(panel.edge, []).append(joint)
    return Tree(part, sheet, nodes, ordered[0].id)


def _ordered(part: Part, panels: list[Panel]) -> list[Panel] | NotDeveloped:
    """Parents before children, the root first."""

    def refuse(why: str, id: str, field: str) -> NotDeveloped:
        return NotDeveloped(part.id, why, "panels" if id != part.id else "parts", id, field)

    if not panels:
        return refuse("it has no flange", part.id, "name")
    if len(panels) > MOST_PANELS:
        why = f"it has {len(panels)} flanges, at most {MOST_PANELS} are laid out"
        return refuse(why, part.id, "name")
    by_id = {panel.id: panel for panel in panels}
    children: dict[str, list[Panel]] = {}
    for panel in panels:
        if panel.joins and panel.joins not in by_id:
            return refuse("it joins a flange of another part", panel.id, "joins")
        if panel.joins and panel.edge is PanelEdge.NEAR and by_id[panel.joins].joins:
            why = "it joins the near edge of a flange that is bent from that edge itself"
            return refuse(why, panel.id, "edge")
        children.setdefault(panel.joins, []).append(panel)
    roots = children.get("", [])
    if not roots:
        return refuse("the flanges join each other in a loop", panels[0].id, "joins")
    if len(roots) > 1:
        return refuse(f"there are {len(roots)} flanges that join nothing", roots[1].id, "joins")
    ordered = [roots[0]]
    for panel in ordered:
        ordered += children.get(panel.id, [])
    if len(ordered) < len(panels):
        reached = {panel.id for panel in ordered}
        lost = next(panel for panel in panels if panel.id not in reached)
        return refuse("the flanges join each other in a loop", lost.id, "joins")
    return ordered


def _joint(parent: Node, child: Node, setback: float, allowance: float, cut: float) -> Joint:
    panel, on = child.panel, parent.panel
    outward, along, aside = _AXES[panel.edge]
    middle = (
        on.width_m * (1 + outward[0]) / 2 + aside[0] * panel.offset_m,
        on.length_m * (1 + outward[1]) / 2 + aside[1] * panel.offset_m,
    )
    corner = (
        middle[0] - along[0] * panel.width_m / 2,
        middle[1] - along[1] * panel.width_m / 2,
    )
    x0, y0, x1, y1 = parent.core
    ends = [
        (x - corner[0]) * along[0] + (y - corner[1]) * along[1] for x, y in ((x0, y0), (x1, y1))
    ]
    span = max(min(ends), child.core[0]), min(max(ends), child.core[2])
    return Joint(
        parent=on.id,
        child=panel.id,
        outward=outward,
        along=along,
        corner=corner,
        span=span,
        angle_deg=panel.bend_deg,
        up=panel.up,
        radius_m=panel.bend_radius_m,
        setback_m=setback,
        allowance_m=allowance,
        strip_m=cut - setback,
    )
