"""Two builds side by side: copper, drop, fuses, sizes, supply and findings."""

from collections.abc import Sequence

from domain.build.dialect import speech_of
from domain.build.records import Build
from domain.sheet import Sheet
from domain.shop.catalogue import CatalogueItem
from domain.topics.compare import differing_runs, figures
from domain.topics.tables import Subject
from tui.pages.page import Page
from tui.widgets.cell_text import cut, left
from tui.widgets.line_view import Line, plain_line

Evaluated = tuple[Build, Sheet]


class ComparePage(Page):
    """Compares two builds; figures that differ carry a mark."""

    def __init__(
        self, one: Evaluated, other: Evaluated, items: Sequence[CatalogueItem] = ()
    ) -> None:
        super().__init__()
        self.items = items
        """The shop's, for what the wire costs."""
        self.one = one
        self.other = other

    def heading(self) -> str:
        """What is compared."""
        return "Compared: ! marks what differs"

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """Figures, then the runs whose size or fuse differs."""
        name_width = min(26, width // 3)
        half = (width - name_width - 4) // 2

        # Each build in its own words; what stands before both in those of the one at hand.
        mine, theirs = speech_of(self.one[0]), speech_of(self.other[0])

        def row(name: str, a: str, b: str, style: str = "") -> Line:
            mark = "!" if a != b and not style else " "
            name, a, b = theirs(name), mine(a), theirs(b)
            text = f"{mark} {left(name, name_width)} {left(a, half)} {left(b, half)}"
            return plain_line(cut(text, width).rstrip(), style)

        one, other = Subject(*self.one), Subject(*self.other)
        lines = [row("", one.build.header.title, other.build.header.title, "bold underline")]
        for this, that in zip(figures(one, self.items), figures(other, self.items), strict=True):
            shown = one.show(this.kind, this.value), one.show(that.kind, that.value)
            lines.append(row(this.title, *shown))
        lines += [plain_line(""), plain_line("  Runs that differ", "bold")]
        differing = [
            row(each.name, *(", ".join(both) for both in zip(each.wires, each.fuses, strict=True)))
            for each in differing_runs(one, other)
        ]
        return lines + (differing or [plain_line("  none")])
