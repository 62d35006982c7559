"""Two builds side by side: copper, drop, fuses, sizes, supply and findings."""

from collections.abc import Sequence

from domain.build.records import Build, label
from domain.findings import Level
from domain.sheet import RunResult, Sheet
from domain.topics.loads import conductor_kg, worst_drop_v
from domain.topics.shower import shower
from domain.units.gauges import format_gauge
from tui.pages.page import Page
from tui.report.compare import pairs
from tui.widgets.cell_text import cut, left
from tui.widgets.line_view import Line, plain_line

Evaluated = tuple[Build, Sheet]


class ComparePage(Page):
    """Compares two builds; figures that differ carry a mark."""

    def __init__(self, one: Evaluated, other: Evaluated) -> None:
        super().__init__()
        self.one = one
        self.other = other

    def heading(self) -> str:
        """What is compared."""
        return "Compared: ! marks what differs"

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """Figures, then the runs whose size or fuse differs."""
        name_width = min(26, width // 3)
        half = (width - name_width - 4) // 2

        def row(name: str, a: str, b: str, style: str = "") -> Line:
            mark = "!" if a != b and not style else " "
            text = f"{mark} {left(name, name_width)} {left(a, half)} {left(b, half)}"
            return plain_line(cut(text, width).rstrip(), style)

        lines = [row("", self.one[0].header.title, self.other[0].header.title, "bold underline")]
        mine, theirs = figures(*self.one), dict(figures(*self.other))
        lines += [row(name, value, theirs[name]) for name, value in mine]
        differing = run_rows(self.one, self.other)
        lines += [plain_line(""), plain_line("  Runs that differ", "bold")]
        lines += [row(*each) for each in differing] or [plain_line("  none")]
        return lines


def figures(build: Build, sheet: Sheet) -> list[tuple[str, str]]:
    """The figures that builds are compared by, as (name, shown)."""
    fuses = sorted((r.fuse_a for r in sheet.runs if r.fuse_a is not None), reverse=True)
    supply, show = sheet.supply, shower(build)
    found = [
        ("conductor to buy", show("mass", conductor_kg(sheet))),
        ("worst drop", show("voltage", worst_drop_v(sheet))),
        ("drop limit", show("voltage", build.header.drop_limit_v)),
        ("full tone", show("current", supply.design_a)),
        ("programme", show("current", supply.programme_a)),
        ("over at idle", show("current", supply.idle_balance_a)),
        ("over at cruise", show("current", supply.cruise_balance_a)),
        ("to half, engine off", show("minutes", supply.play_minutes)),
        ("fuses", ", ".join(f"{fuse:g}" for fuse in fuses) + " A" if fuses else "none"),
    ]
    for level in (Level.STOP, Level.FIX, Level.NOTE):
        found.append((f"{level.value} findings", str(sheet.count(level))))
    return found


def run_rows(one: Evaluated, other: Evaluated) -> list[tuple[str, str, str]]:
    """Runs whose size, metal or fuse differs, or that only one of the builds has."""
    rows = []
    for mine, theirs in pairs(one[1].runs, other[1].runs):
        build, run = (one[0], mine) if mine else (other[0], theirs)
        a, b = _shown(mine), _shown(theirs)
        if a != b and run is not None:
            rows.append((label(build, run.id), a, b))
    return rows


def _shown(run: RunResult | None) -> str:
    if run is None:
        return "not there"
    fuse = f", {run.fuse_a:g} A" if run.fuse_a is not None else ""
    metal = ", CCA" if "alumin" in run.metal else ""
    return f"{format_gauge(run.gauge)}{metal}{fuse}"
