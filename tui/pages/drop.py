"""Where the voltage goes: the drop from post to amplifier and back as a bar for each leg."""

from collections.abc import Sequence

from domain.document.records import label
from domain.topics.shower import shower
from tui.pages.page import Page
from tui.pictures.charts import drop_bars
from tui.widgets.line_view import Line
from tui.workbench import Workbench


class DropPage(Page):
    """The drop of one amplifier after the other."""

    steps = "amplifier"

    def __init__(self, bench: Workbench, amplifier: str) -> None:
        super().__init__()
        self.bench = bench
        self.amplifier = amplifier

    def heading(self) -> str:
        """Whose drop it is."""
        return f"Drop at full power: {label(self.bench.build, self.amplifier)}"

    def step(self, by: int) -> None:
        """The next amplifier."""
        ids = [load.id for load in self.bench.sheet.loads]
        self.amplifier = ids[(ids.index(self.amplifier) + by) % len(ids)]
        self.draw()

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """The bars, and how far its ground is off."""
        bench = self.bench
        load = bench.sheet.load(self.amplifier)
        offset = load.ground_offset_v if load else None
        return [
            "",
            *drop_bars(bench.build, bench.sheet, self.amplifier, width - 1),
            "",
            f"its ground lies {shower(bench.build)('voltage', offset)} above the head unit's",
        ]
