"""A network is solved once in a process of the tests, not anew by each test that opens its build.

For tests of what is shown, stored and printed. Sizing is a pure function of a build, and what
follows from a solved network one of that network: tests that prove it work it out each time.
"""

from functools import lru_cache

import pytest

from domain import full_results
from domain.build.records import Build
from domain.document.kept import kept
from domain.electrical.drive import simulate
from domain.electrical.network.states import Wired
from domain.electrical.sizing import kept as kept_networks
from domain.electrical.sizing.size_and_solve import SolvedNetwork, size_and_solve
from domain.electrical.transient.results import KickStudy
from domain.electrical.transient.study import kick_study
from domain.full_results import Progress
from domain.sheet import DriveResult

MOST_KEPT = 200
"""Networks that are kept."""


def solve_once(patch: pytest.MonkeyPatch) -> None:
    """Have it so from now on."""
    patch.setattr(kept_networks, "size_and_solve", _solved)
    patch.setattr(full_results, "kick_study", _kicked)
    patch.setattr(full_results, "simulate", _driven)


def _solved(
    build: Build, *, swept: bool = False, floor: dict[str, int] | None = None
) -> SolvedNetwork:
    return _known(build, swept, None if floor is None else tuple(floor.items()))


@lru_cache(MOST_KEPT)
def _known(build: Build, swept: bool, floor: tuple[tuple[str, int], ...] | None) -> SolvedNetwork:
    return size_and_solve(build, swept=swept, floor=None if floor is None else dict(floor))


@kept(MOST_KEPT)
def _kicked(solved: SolvedNetwork) -> KickStudy | None:
    return kick_study(solved)


def _driven(wired: Wired, progress: Progress | None = None) -> DriveResult:
    return simulate(wired, progress) if progress else _driven_through(wired)


@kept(MOST_KEPT)
def _driven_through(wired: Wired) -> DriveResult:
    return simulate(wired)
