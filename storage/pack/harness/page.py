"""The harness: its sections as a tree with branch points and lengths, then each with its wires.

On the page it is not to scale; ``full_size`` draws it as long as it is.
"""

from functools import partial

from domain.cable.harness_tree import Branch, harness_tree
from domain.topics.ways.sections import SECTIONS
from storage.pack.ink import Ink, Style
from storage.pack.pack_context import Pack
from storage.pack.pages import LEFT, SMALL, Paper
from storage.pack.topic_tables import Wide, lay

_ROW = 10.0
_STEP = 9.0
_BOX_WIDE, _BOX_HIGH = 42.0, 6.4
_LINE = Style(0.6)
_FRAME = Style(0.35)


def harness(pack: Pack, paper: Paper) -> None:
    """Draw the tree, row by row, then the table of its sections in the order of the build."""
    branches = harness_tree(pack.build, pack.sheet)
    if not branches:
        paper.words("No run goes by places and sections yet.")
        return
    paper.words(
        "From the battery outwards, not to scale. ? is assumed: measure it before you cut. Wires "
        "of a section are pulled in the order in which they stand below."
    )
    paper.space(2.0)
    deepest = max(len(branch.more) for branch in branches)
    step = min(_STEP, (paper.across - _BOX_WIDE - 60.0) / deepest)
    begun: set[str] = set()
    going_on = {(branch.near, len(branch.more)) for branch in branches}
    for branch in branches:
        if len(branch.more) == 1 and branch.near not in begun:
            begun.add(branch.near)
            paper.picture(_ROW, partial(_beginning, pack, paper.ink, branch))
        paper.picture(_ROW, partial(_row, pack, paper, branch, step, going_on))
    paper.space(3.0)
    wide = {
        "name": Wide(38),
        "length": Wide(20),
        "wires": Wide(13),
        "thick": Wide(18),
        "through": Wide(40, most=4),
        "runs": Wide(most=8),
    }
    lay(pack.subject, paper, SECTIONS, wide)


def _beginning(pack: Pack, ink: Ink, branch: Branch, low: float) -> None:
    """The box of the place where a tree begins, with the line down to its branches."""
    _box(ink, LEFT, low, pack.name(branch.near))
    ink.style(_LINE)
    ink.line(LEFT + _STEP / 2, low + (_ROW - _BOX_HIGH) / 2, LEFT + _STEP / 2, low)


def _row(
    pack: Pack,
    paper: Paper,
    branch: Branch,
    step: float,
    going_on: set[tuple[str, int]],
    low: float,
) -> None:
    """A section and the place at its far end."""
    ink = paper.ink
    depth = len(branch.more)
    middle = low + _ROW / 2
    ink.style(_LINE)
    for level, follows in enumerate(branch.more, 1):
        at = LEFT + step * (level - 1) + _STEP / 2
        if level == depth:
            ink.line(at, low + _ROW, at, low if follows else middle)
        elif follows:
            ink.line(at, low + _ROW, at, low)
    x = LEFT + step * depth
    ink.line(LEFT + step * (depth - 1) + _STEP / 2, middle, x, middle)
    said = f"{pack.name(branch.far)}{', again' if branch.again else ''}"
    _box(ink, x, low, said)
    ink.style(_LINE)
    if not branch.again and (branch.far, depth + 1) in going_on:
        at = x + _STEP / 2
        ink.line(at, low + (_ROW - _BOX_HIGH) / 2, at, low)
    text = words_of(pack, branch)
    right = x + _BOX_WIDE + 2.0
    ink.text(right, middle - 1.1, text, SMALL, most=LEFT + paper.across - right)


def words_of(pack: Pack, branch: Branch) -> str:
    """A section in a line: its length, how many wires, how thick, through which panel."""
    section = branch.section
    length = pack.show("length", section.length_m) + ("?" if section.length_auto else "")
    wires = f"{section.wires} {'wires' if section.wires > 1 else 'wire'}"
    thick = f"{pack.show('small_length', section.bundle_m)} thick"
    found = [f"{section.name}: {length}", wires, thick]
    if section.hole:
        found.append(f"through {section.panel or 'a panel'}")
    return ", ".join(found)


def _box(ink: Ink, x: float, low: float, text: str) -> None:
    y = low + (_ROW - _BOX_HIGH) / 2
    ink.style(_FRAME)
    ink.bar(x, y, _BOX_WIDE, _BOX_HIGH, grey=1.0)
    ink.box(x, y, _BOX_WIDE, _BOX_HIGH)
    ink.text(x + 2.0, y + 2.1, text, SMALL, bold=True, most=_BOX_WIDE - 4.0)
