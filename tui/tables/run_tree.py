"""Runs as a tree: the order from the battery outwards, and the limbs drawn in text."""

from collections.abc import Sequence

from msgspec import Struct

from domain.build.choices import Polarity
from domain.build.records import Build, Run
from domain.document.records import label
from domain.sheet import Sheet


class LimbRow(Struct, frozen=True):
    """A run with its place in the tree."""

    run: Run
    depth: int
    text: str


def tree_order(build: Build, sheet: Sheet, polarity: Polarity) -> list[LimbRow]:
    """The runs of one side in the sheet's order, each with its limb drawn before its label.

    Ground runs lead back to the battery and are listed flat. Runs that the sheet does not know
    come last.
    """
    last = _LAST.get(polarity)
    if last is None or last[0] is not build or last[1] is not sheet:
        last = _LAST[polarity] = (build, sheet, _tree_order(build, sheet, polarity))
    return last[2]


_LAST: dict[Polarity, tuple[Build, Sheet, list[LimbRow]]] = {}
"""The last answers: a table asks for its tree once for each of its rows."""


def _tree_order(build: Build, sheet: Sheet, polarity: Polarity) -> list[LimbRow]:
    by_id = {run.id: run for run in build.runs if run.polarity is polarity}
    order = [(by_id.pop(r.id), r.depth) for r in sheet.runs if r.id in by_id]
    order += [(run, 0) for run in by_id.values()]
    if polarity is Polarity.GROUND:
        return [LimbRow(run, 0, label(build, run.id)) for run, _ in order]
    drawn = limbs([depth for _, depth in order])
    return [
        LimbRow(run, depth, f"{prefix}{label(build, run.id)}")
        for (run, depth), prefix in zip(order, drawn, strict=True)
    ]


def limbs(depths: Sequence[int]) -> list[str]:
    """What stands before each label: one limb per level, open as long as siblings follow."""
    if not depths:
        return []
    least = min(depths)
    found = []
    for place, depth in enumerate(depths):
        level = depth - least
        parts = []
        for above in range(1, level + 1):
            more = _follows(depths[place + 1 :], above + least)
            if above == level:
                parts.append("├─" if more else "└─")
            else:
                parts.append("│ " if more else "  ")
        found.append("".join(parts))
    return found


def _follows(rest: Sequence[int], level: int) -> bool:
    """Whether a later row stands at this level before the tree falls back above it."""
    for depth in rest:
        if depth < level:
            return False
        if depth == level:
            return True
    return False
