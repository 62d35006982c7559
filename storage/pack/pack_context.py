"""What every section of a pack is drawn from."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from domain.build.records import Build, label
from domain.cable.cut_list import CutList, Spool, WireKind
from domain.electrical.sizing.size_and_solve import SolvedNetwork
from domain.findings import Level
from domain.full_results import FullResults
from domain.money.estimate import Estimate
from domain.sheet import MaterialLine, RunResult, Sheet
from domain.units.show import format_amount, format_quantity

if TYPE_CHECKING:
    from domain.fabrication.nesting.cut_sheets import SheetCutList


@dataclass(frozen=True, slots=True)
class Money:
    """The estimate for the quote's page, and the lengths in which the shop buys its wire."""

    estimate: Estimate
    spools: Mapping[WireKind, Sequence[Spool]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Pack:
    """A build with all that follows from it, and how the pack is to be printed."""

    build: Build
    results: FullResults
    solved: SolvedNetwork
    cuts: CutList
    paper: str
    revision: str
    date: str
    estimate: Estimate | None = None
    sheets: tuple["SheetCutList", ...] = ()

    @property
    def sheet(self) -> Sheet:
        """The results of the build."""
        return self.results.sheet

    @property
    def title(self) -> str:
        """What the build is called."""
        return self.build.header.title or "Untitled build"

    @property
    def stand(self) -> str:
        """Revision and date in words, as far as they are known."""
        revision = f"revision {self.revision}" if self.revision else ""
        return ", ".join(filter(None, (revision, self.date)))

    def show(self, kind: str, value: float | None) -> str:
        """A quantity in the build's units, "-" where there is none."""
        return format_quantity(kind, value, self.build.header.units)

    def name(self, id: str) -> str:
        """What a record is called."""
        return label(self.build, id)

    def names(self, ids: Sequence[str], most: int = 6) -> str:
        """Several records in words, the first few by name."""
        shown = ", ".join(self.name(id) for id in ids[:most])
        return shown + (f" and {len(ids) - most} more" if len(ids) > most else "")

    def fuse(self, run: RunResult) -> str:
        """The rating of a run's fuse; a star behind what the user set."""
        pinned = run.fuse_a is not None and not run.fuse_auto
        return self.show("current", run.fuse_a) + (" *" if pinned else "")

    def stops(self, id: str) -> str:
        """What must be settled at a record before work begins, in a sentence; "" if nothing."""
        found = [f.what for f in self.sheet.findings if f.level is Level.STOP and f.id == id]
        return f"STOP: {'; '.join(found)}." if found else ""

    def amount(self, line: MaterialLine, quantity: float) -> str:
        """A quantity of a line of the bill of materials."""
        return format_amount(quantity, line.unit, self.build.header.units)
