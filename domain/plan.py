"""A build worked out: the records, what follows from them, and the network that was solved."""

from msgspec import Struct

from domain.build.records import Build
from domain.electrical.sizing.size_and_solve import SolvedNetwork
from domain.sheet import Sheet


class Plan(Struct, frozen=True):
    """What one evaluation gives. The three belong together: hold the plan, not its pieces."""

    build: Build
    sheet: Sheet
    solved: SolvedNetwork
