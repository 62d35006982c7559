"""What the sections of a pack are made from."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from msgspec import Struct, field

from domain.build.records import Build
from domain.cable.cut_list import CutList, Spool, WireKind
from domain.electrical.sizing.size_and_solve import SolvedNetwork
from domain.electrical.transient.results import KickStudy
from domain.full_results import FullResults
from domain.money.estimate import Estimate
from domain.sheet import RunResult, Sheet
from domain.topics.runs import fuse_shown
from domain.topics.tables import Subject

if TYPE_CHECKING:
    from domain.fabrication.nesting.cut_sheets import SheetCutList


class Money(Struct, frozen=True):
    """The estimate for the quote's page, and the lengths in which the shop buys its wire."""

    estimate: Estimate
    spools: Mapping[WireKind, Sequence[Spool]] = field(default_factory=dict)


class Pack(Struct, frozen=True):
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
    kick: KickStudy | None = None

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
        """Revision and date as text, as far as they are known."""
        revision = f"revision {self.revision}" if self.revision else ""
        return ", ".join(filter(None, (revision, self.date)))

    @property
    def subject(self) -> Subject:
        """What the topics find words for."""
        return Subject(self.build, self.sheet)

    def show(self, kind: str, value: float | None) -> str:
        """A quantity in the build's units, "-" where there is none."""
        return self.subject.show(kind, value)

    def name(self, id: str) -> str:
        """What a record is called."""
        return self.subject.name(id)

    def names(self, ids: Sequence[str], most: int = 6) -> str:
        """Several records as text: the first few by name, then how many more."""
        return self.subject.names(ids, most)

    def fuse(self, run: RunResult) -> str:
        """The rating of a run's fuse, marked where the user set it."""
        return fuse_shown(self.subject, run)

    def stops(self, id: str) -> str:
        """A sentence with the open STOPs of a record, "" if it has none."""
        return self.subject.stops(id)
