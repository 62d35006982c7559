"""The one-line diagram: the system as a tree from the batteries, every run with its figures.

Full lines are positive runs, dashed ones ground; a fuse is a small box in its line. What the
remote outputs switch stands below it.
"""

from functools import partial

from domain.topics.wiring import wiring_rows
from storage.pack.pack_context import Pack
from storage.pack.pages import Paper
from storage.pack.sections.lead_diagram import lead_diagram
from storage.pack.sections.tree import STEP, WIDE, Tree, high_of


def diagram(pack: Pack, paper: Paper) -> None:
    """Draw the tree, row by row."""
    lines = wiring_rows(pack.build)
    if not lines:
        paper.words("This build has no devices yet.")
        return
    paper.words(
        "Full line: positive. Dashed line: ground. A box in the line is a fuse. Lengths as routed; "
        "? is assumed, * set by hand."
    )
    paper.space(2.0)
    deepest = max(len(line.more) for line in lines)
    step = min(STEP, (paper.across - WIDE) / deepest) if deepest else STEP
    results = {run.id: run for run in pack.sheet.runs}
    drawn = Tree(pack, paper, step)
    for line in lines:
        high = high_of(line)
        row = partial(drawn.row, line, high=high, result=results.get(line.limb.run))
        paper.picture(high, row)
    lead_diagram(pack, paper)
