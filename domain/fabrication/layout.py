"""Lays a part's panels out flat: where each panel, bend and hole lies in the flat pattern.

Panels in one line are developed exactly: the root with at most one child at each end, every
other panel with at most one child at its far end. Panels of different widths are centred on
each other, and the sheet in a bend is as wide as the narrower panel. In the root, ``y`` counts
from its first child's bend; that child lies above it in the pattern, a second child below.
"""

from dataclasses import dataclass
from itertools import pairwise

from domain.build import Panel
from domain.fabrication.bends import bend_allowance, outside_setback


class NotDeveloped(ValueError):
    """Panels that cannot be laid out; the message says why, ``id`` which panel."""

    def __init__(self, why: str, id: str, field: str) -> None:
        super().__init__(why)
        self.id = id
        self.field = field


@dataclass(frozen=True, slots=True)
class FlatPanel:
    """One panel in the flat pattern [m].

    Its flat sheet lies from ``start_m`` to ``end_m`` along the pattern, measured from the
    pattern's lower edge. ``near_setback_m`` and ``far_setback_m`` are what the bends take from
    the panel at ``y`` = 0 and at ``y`` = length, ``None`` where that edge is free. ``upward`` is
    whether ``y`` counts along the pattern or against it.
    """

    panel: Panel
    start_m: float
    end_m: float
    left_m: float
    near_setback_m: float | None
    far_setback_m: float | None
    upward: bool

    def place(self, x_m: float, y_m: float) -> tuple[float, float]:
        """A point of the panel, in the pattern's coordinates from its lower left corner [m]."""
        along = y_m - (self.near_setback_m or 0.0)
        return self.left_m + x_m, self.start_m + along if self.upward else self.end_m - along


@dataclass(frozen=True, slots=True)
class FlatPattern:
    """The flat pattern [m, m2]; the area is before holes."""

    length_m: float
    width_m: float
    area_m2: float
    bends: int
    bend_allowance_m: float
    panels: tuple[FlatPanel, ...]


def in_line(panels: list[Panel]) -> list[tuple[Panel, bool]]:
    """The panels from the lower end of the pattern to the upper, each with "counts upward".

    Raises ``NotDeveloped`` for a loop, several roots, panels of another part, or a branch.
    """
    ids = {panel.id for panel in panels}
    for panel in panels:
        if panel.joins and panel.joins not in ids:
            raise NotDeveloped("it joins a panel of another part", panel.id, "joins")
    roots = [panel for panel in panels if not panel.joins]
    if not roots:
        raise NotDeveloped("the panels join each other in a loop", panels[0].id, "joins")
    if len(roots) > 1:
        raise NotDeveloped(f"there are {len(roots)} panels that join nothing", roots[1].id, "joins")
    children: dict[str, list[Panel]] = {}
    for panel in panels:
        children.setdefault(panel.joins, []).append(panel)
    root = roots[0]
    arms = children.get(root.id, [])
    if len(arms) > 2:
        raise NotDeveloped("more than two panels join the root panel", arms[2].id, "joins")
    upper, lower = ([_arm(arm, children) for arm in arms] + [[], []])[:2]
    line = [(panel, False) for panel in reversed(lower)]
    line.append((root, not upper))
    line += [(panel, True) for panel in upper]
    if len(line) < len(panels):
        lost = next(p for p in panels if all(p.id != on_line.id for on_line, _ in line))
        raise NotDeveloped("the panels join each other in a loop", lost.id, "joins")
    return line


def develop(panels: list[Panel], thickness_m: float, k: float) -> FlatPattern:
    """The flat pattern of one part's panels: sum of flats and bend allowances.

    ``thickness_m`` of the sheet, ``k`` as in ``bend_allowance``. Raises ``NotDeveloped`` as
    ``in_line``, and where the bends leave nothing flat of a panel.
    """
    line = in_line(panels)
    width = max(panel.width_m for panel in panels)
    setbacks: list[float | None] = [None]
    for (lower, _), (upper, _) in pairwise(line):
        bend = _bend_between(lower, upper)
        setbacks.append(outside_setback(bend.bend_deg, bend.bend_radius_m, thickness_m))
    setbacks.append(None)
    flat: list[FlatPanel] = []
    at = area = allowances = 0.0
    for place, (panel, upward) in enumerate(line):
        below, above = setbacks[place], setbacks[place + 1]
        length = panel.length_m - (below or 0.0) - (above or 0.0)
        if length <= 0:
            raise NotDeveloped(
                f"its bends take {((below or 0) + (above or 0)) / panel.length_m:.4g} times its "
                "length, nothing flat is left",
                panel.id,
                "length_m",
            )
        if place:
            bend = _bend_between(line[place - 1][0], panel)
            allowance = bend_allowance(bend.bend_deg, bend.bend_radius_m, thickness_m, k)
            area += allowance * min(panel.width_m, line[place - 1][0].width_m)
            allowances += allowance
            at += allowance
        near, far = (below, above) if upward else (above, below)
        left = (width - panel.width_m) / 2
        flat.append(FlatPanel(panel, at, at + length, left, near, far, upward))
        area += length * panel.width_m
        at += length
    bends = sum(panel.bend_deg > 0 for panel, _ in line if panel.joins)
    return FlatPattern(at, width, area, bends, allowances, tuple(flat))


def _arm(first: Panel, children: dict[str, list[Panel]]) -> list[Panel]:
    arm = [first]
    while following := children.get(arm[-1].id):
        if len(following) > 1:
            raise NotDeveloped("two panels join one that is not the root", following[1].id, "joins")
        arm.append(following[0])
    return arm


def _bend_between(one: Panel, other: Panel) -> Panel:
    """The panel of the two that carries the bend: the one that joins the other."""
    return other if other.joins == one.id else one
