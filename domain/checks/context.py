"""What every check is given to look at."""

from collections.abc import Sequence

from msgspec import Struct

from domain.build.records import Build, Run
from domain.document.records import label
from domain.electrical.network.wiring import Wiring
from domain.sheet import (
    AmplifierLoad,
    BlockResult,
    FuseStudy,
    GroundResult,
    IsolatorResult,
    LeadResult,
    Loom,
    NetworkState,
    RemoteResult,
    RunResult,
    SegmentResult,
    Supply,
)
from domain.units.show import format_quantity

NAMED = 6
"""So many of what is told together are named, the rest counted."""


def named(each: Sequence[str]) -> str:
    """What is told together: the first few by name."""
    more = f" and {len(each) - NAMED} more" if len(each) > NAMED else ""
    return ", ".join(each[:NAMED]) + more


class Context(Struct, frozen=True):
    """A build and its results, before the findings."""

    build: Build
    wiring: Wiring
    amplifiers: tuple[AmplifierLoad, ...]
    appliances: tuple[AmplifierLoad, ...]
    runs: tuple[RunResult, ...]
    states: tuple[NetworkState, ...]
    grounds: tuple[GroundResult, ...]
    supply: Supply
    studies: tuple[FuseStudy, ...]
    segments: tuple[SegmentResult, ...]
    looms: tuple[Loom, ...] = ()
    remotes: tuple[RemoteResult, ...] = ()
    leads: tuple[LeadResult, ...] = ()
    blocks: tuple[BlockResult, ...] = ()
    isolators: tuple[IsolatorResult, ...] = ()
    lowered: tuple[NetworkState, ...] = ()
    """Driving, with what smart alternators lower their voltage to; none without such."""

    @property
    def loads(self) -> tuple[AmplifierLoad, ...]:
        """Everything that takes current, amplifiers first."""
        return self.amplifiers + self.appliances

    def pairs(self) -> list[tuple[Run, RunResult]]:
        """Each run as entered beside its result, in the sheet's order."""
        entered = {run.id: run for run in self.build.runs}
        return [(entered[result.id], result) for result in self.runs]

    def name(self, id: str) -> str:
        """What to call a record."""
        return label(self.build, id)

    def show(self, kind: str, value: float | None) -> str:
        """A quantity in a sentence, in the build's habit."""
        return format_quantity(kind, value, self.build.header.units)

    def amps(self, value: float | None) -> str:
        """A current [A] in a sentence."""
        return self.show("current", value)

    def volts(self, value: float | None) -> str:
        """A voltage [V] in a sentence."""
        return self.show("voltage", value)
