"""The switching leads as a tree: each output, its relay, and what hangs on it."""

from functools import partial

from domain.sheet import LeadResult, RunResult
from domain.topics.runs import LEADS, switched_by
from domain.topics.wiring import RELAY, Limb, lead_forest, rows_of
from storage.pack.fonts import fitted, width_mm
from storage.pack.pack_context import Pack
from storage.pack.pages import LEFT, SMALL, Paper
from storage.pack.sections.tree import FRAME, THIN, Tree, high_of


def lead_diagram(pack: Pack, paper: Paper) -> None:
    """Draw every output that switches something, row by row."""
    forest = lead_forest(pack.build, pack.sheet)
    roots = [root for root in forest if root.below and not root.run]
    if not roots:
        return
    paper.heading("Switching leads")
    drawn = LeadTree(pack, paper)
    for line in (row for root in roots for row in rows_of(root)):
        high = high_of(line)
        paper.picture(high, partial(drawn.row, line, high=high, result=None))


class LeadTree(Tree, frozen=True):
    """Draws leads where a tree of the power side has runs."""

    def _result(self, id: str) -> LeadResult | None:
        return next((lead for lead in self.pack.sheet.leads if lead.record == id), None)

    def words(self, x: float, y: float, id: str, result: RunResult | None) -> None:
        """Wire, length and current of the lead."""
        lead, ink = self._result(id), self.ink
        said = ""
        if lead is not None:
            cells = LEADS.over([lead]).cells(self.pack.subject, ("wire", "length", "carries"))
            said = f"{', '.join(cells[0])}: {lead.name}"
        ink.text(x, y, id, SMALL, bold=True)
        x += width_mm(id, SMALL, True) + 1.5
        ink.style(THIN)
        ink.text(x, y, fitted(said, SMALL, LEFT + self.paper.across - x), SMALL)

    def device(self, x: float, low: float, node: Limb) -> None:
        """An output with what it gives, a relay with its fuse, or what is switched."""
        ink, pack = self.ink, self.pack
        ink.style(FRAME)
        ink.bar(x, low, self.wide, self.box, grey=1.0)
        ink.box(x, low, self.wide, self.box)
        output = node.device.removesuffix(RELAY)
        remote = next((each for each in pack.sheet.remotes if each.id == output), None)
        if remote is not None and node.device == output:
            name = remote.name
            said = f"{output}: gives {pack.show('current', remote.given_a)}"
        elif remote is not None:
            name, said = f"{remote.name} relay", switched_by(pack.subject, remote)
        else:
            lead = self._result(node.run)
            name, said = lead.target if lead else pack.name(node.device), node.device
        most = self.wide - 4
        ink.text(x + 2, low + 5.6, name, SMALL, bold=True, most=most)
        ink.text(x + 2, low + 1.8, said, SMALL, most=most)
