"""The solved network of a build, taken again where nothing that bears on it has changed.

An edit of a bracket leaves all wires as they were, and so does a name that is typed. Records that
are the very same are not compared; of others the fields that bear on nothing are left out.
"""

from collections import deque
from collections.abc import Mapping
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from domain.build.records import Build
from domain.electrical.sizing.size_and_solve import SolvedNetwork, size_and_solve

APART = frozenset(
    {
        *("parts", "panels", "fixings", "holes", "footprints", "studs", "mounts"),
        *("legs", "spots", "readings", "stock", "leads", "remotes", "extras"),
    }
)
"""Tables of a build that neither sizes nor currents depend on."""

BEARING = tuple(table for table in Build.TABLES if table not in APART)

BESIDE: Mapping[str, frozenset[str]] = {
    "header": frozenset(
        {
            *("title", "customer", "vehicle", "notes", "state", "words", "cutting", "kerf_m"),
            *("finish", "labour_price", "markup_ratio", "tax_percent", "currency"),
        }
    ),
    "batteries": frozenset(
        {
            *("name", "stud", "made_year", "discharge_limit_a"),
            *("hottest_c", "charge_hottest_c", "charge_coldest_c"),
        }
    ),
    "alternators": frozenset({"name"}),
    "amplifiers": frozenset({"name"}),
    "appliances": frozenset({"name", "withstand_v"}),
    "blocks": frozenset({"name", "peak_a"}),
    "grounds": frozenset({"name", "stud"}),
    "runs": frozenset({"name", "colour", "near_end", "far_end", "breaks_a", "resets"}),
}
"""Fields, by table, that neither sizes nor currents depend on. A zone's name is no such: the
engine bay is known by it."""


class _Kept(Struct, frozen=True):
    build: Build
    floor: dict[str, int]
    swept: bool
    solved: SolvedNetwork

    def serves(self, build: Build, swept: bool, floor: Mapping[str, int]) -> bool:
        return (
            self.swept == swept
            and self.floor == floor
            and _alike("header", self.build.header, build.header)
            and all(
                _all_alike(table, getattr(self.build, table), getattr(build, table))
                for table in BEARING
            )
        )

    def of(self, build: Build) -> "_Kept":
        """The same for a build that it serves."""
        solved, runs = self.solved, {run.id: run for run in build.runs}
        items = solved.items
        if build.runs is not self.build.runs:
            items = {
                id: item if item.run is runs[id] else replace(item, run=runs[id])
                for id, item in items.items()
            }
        solved = replace(solved, wired=replace(solved.wired, build=build), items=items)
        return replace(self, build=build, solved=solved)


def _all_alike(table: str, before: tuple[Any, ...], now: tuple[Any, ...]) -> bool:
    """Whether the records of a table differ in nothing that bears on sizes or currents."""
    if before is now:
        return True
    if table not in BESIDE or len(before) != len(now):
        return False
    return all(_alike(table, old, new) for old, new in zip(before, now, strict=True))


def _alike(table: str, before: Any, now: Any) -> bool:
    if before is now:
        return True
    beside = {field: getattr(before, field) for field in BESIDE[table]}
    return bool(replace(now, **beside) == before)


_kept: deque[_Kept] = deque(maxlen=2)
"""The last two: what is stored, and what is being typed."""


def solved_network(build: Build, *, swept: bool, floor: Mapping[str, int]) -> SolvedNetwork:
    """The network of a build, sized and solved as ``size_and_solve`` does."""
    for at, kept in enumerate(_kept):
        if kept.serves(build, swept, floor):
            _kept[at] = kept.of(build)
            return _kept[at].solved
    solved = size_and_solve(build, swept=swept, floor=floor)
    _kept.append(_Kept(build, dict(floor), swept, solved))
    return solved
