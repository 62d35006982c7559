"""A part for the other side of the vehicle: mirrored left to right, devices as they are.

A device has no other hand: its place is mirrored, its own screws are not.
"""

from domain.build.choices import PanelEdge
from domain.build.records import Build, Hole, Mount, Panel, Part
from domain.document.records import find

_OTHER = {
    PanelEdge.LEFT: PanelEdge.RIGHT,
    PanelEdge.RIGHT: PanelEdge.LEFT,
    PanelEdge.FAR: PanelEdge.FAR,
    PanelEdge.NEAR: PanelEdge.NEAR,
}

LEFT_HAND, RIGHT_HAND = "left hand", "right hand"
"""What both are called on paper: as entered, and mirrored."""


def pieces(part: Part) -> int:
    """How many pieces are made: of both hands."""
    return part.quantity * (2 if part.both_hands else 1)


def other_hand(build: Build, part_id: str) -> Build:
    """The build with this part mirrored, and called the right hand; all else as it is.

    A part that is not in the build leaves it unchanged.
    """
    part = find(build, part_id)
    if not isinstance(part, Part):
        return build
    mirrored = {panel.id: _panel(panel) for panel in build.panels if panel.part == part_id}
    return build.but(
        parts=tuple(
            each.but(name=hand_name(build, part, other=True)) if each is part else each
            for each in build.parts
        ),
        panels=tuple(mirrored.get(panel.id, panel) for panel in build.panels),
        holes=tuple(_hole(h, mirrored.get(h.panel)) for h in build.holes),
        mounts=tuple(_mount(m, mirrored.get(m.panel)) for m in build.mounts),
    )


def hand_name(build: Build, part: Part, *, other: bool) -> str:
    """What one hand of a part is called."""
    name = part.name or part.id
    if not part.both_hands:
        return name
    return f"{name}, {RIGHT_HAND if other else LEFT_HAND}"


def hands(build: Build, part: Part) -> list[tuple[Build, Part]]:
    """A part as it is to be drawn: once, or for both hands, each named."""
    if not part.both_hands:
        return [(build, part)]
    found = []
    for other in (False, True):
        drawn = other_hand(build, part.id) if other else build
        named = part.but(name=hand_name(build, part, other=other))
        parts = tuple(named if each.id == part.id else each for each in drawn.parts)
        found.append((drawn.but(parts=parts), named))
    return found


def _panel(panel: Panel) -> Panel:
    """At a far or near edge the offset runs along the width, which is mirrored."""
    edge = _OTHER[panel.edge]
    across = panel.edge in (PanelEdge.FAR, PanelEdge.NEAR)
    offset = -panel.offset_m if across else panel.offset_m
    return panel.but(edge=edge, offset_m=offset)


def _hole(hole: Hole, panel: Panel | None) -> Hole:
    if panel is None:
        return hole
    x = panel.width_m - hole.x_m
    return hole.but(x_m=x, turn_deg=-hole.turn_deg)


def _mount(mount: Mount, panel: Panel | None) -> Mount:
    if panel is None:
        return mount
    x = panel.width_m - mount.x_m
    return mount.but(x_m=x, turn_deg=-mount.turn_deg)
