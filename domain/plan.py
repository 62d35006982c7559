"""A build worked out: the records, what follows from them, and the network that was solved."""

from dataclasses import dataclass

from domain.build.records import Build
from domain.electrical.sizing.size_and_solve import SolvedNetwork
from domain.sheet import Sheet


@dataclass(frozen=True, slots=True)
class Plan:
    """What one evaluation gives. The three belong together: hold the plan, not its pieces."""

    build: Build
    sheet: Sheet
    solved: SolvedNetwork
