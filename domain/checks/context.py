"""What every check is given to look at."""

from dataclasses import dataclass

from domain.build.records import Build, Run, label
from domain.electrical.network.wiring import Wiring
from domain.sheet import (
    AmplifierLoad,
    FuseStudy,
    GroundResult,
    Loom,
    NetworkState,
    RunResult,
    Supply,
)
from domain.units.show import format_quantity


@dataclass(frozen=True, slots=True)
class Context:
    """A build and its results, before the findings."""

    build: Build
    wiring: Wiring
    amplifiers: tuple[AmplifierLoad, ...]
    runs: tuple[RunResult, ...]
    states: tuple[NetworkState, ...]
    grounds: tuple[GroundResult, ...]
    supply: Supply
    studies: tuple[FuseStudy, ...]
    looms: tuple[Loom, ...] = ()

    def pairs(self) -> list[tuple[Run, RunResult]]:
        """Each run as entered beside its result, in the sheet's order."""
        entered = {run.id: run for run in self.build.runs}
        return [(entered[result.id], result) for result in self.runs]

    def name(self, id: str) -> str:
        """What to call a record."""
        return label(self.build, id)


def length(metres: float, build: Build) -> str:
    """A length in a sentence, in the build's habit."""
    if build.header.units == "inch":
        return f"{metres / 0.0254:.0f} in"
    return f"{metres * 100:.0f} cm"


def degrees(celsius: float, build: Build) -> str:
    """A temperature in a sentence, in the build's habit."""
    return format_quantity("temperature", celsius, build.header.units)


def gauge_text(gauge: str) -> str:
    """A gauge in a sentence: "1/0 AWG", "35 mm2"."""
    return f"{gauge[4:]} AWG" if gauge.startswith("AWG ") else gauge
