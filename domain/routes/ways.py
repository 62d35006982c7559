"""The way of each run through the places of the vehicle: the shortest from end to end.

A device stands at a place; sections join places. A run goes by the shortest way from the place of
its one end to that of its other, or by the shortest that goes through its ``via``.
"""

from collections.abc import Mapping
from functools import lru_cache
from heapq import heappop, heappush
from types import MappingProxyType

from msgspec import Struct

from domain.build.choices import SwitchedBy, UnitHabit
from domain.build.record_kinds.route_records import RouteSection
from domain.build.records import DEVICE_TABLES, Build, Run
from domain.document.records import records
from domain.reference.planning import planned
from domain.units.unit_table import INCH

MICRO = 1e6
"""Ways are compared in whole micrometres: sums of like lengths are then like, in any order."""


class Way(Struct, frozen=True):
    """Sections from one end to the other, in order, and the places that they join: one more.

    A section that a detour by ``via`` takes twice stands there twice.
    """

    places: tuple[str, ...]
    sections: tuple[RouteSection, ...]

    def back(self) -> "Way":
        """The same from its other end."""
        return Way(self.places[::-1], self.sections[::-1])


def section_m(section: RouteSection, units: UnitHabit) -> float:
    """Length of a section [m]: as measured, else the planning value."""
    if section.length_m is not None:
        return section.length_m
    if units is UnitHabit.INCH:
        return planned("assumed_section_in") * INCH.factor
    return planned("assumed_section_m")


def places_of(build: Build) -> dict[str, str]:
    """Device id -> the place it stands at; devices without one are left out."""
    tables = (*DEVICE_TABLES, "remotes")
    return {each.id: each.place for table in tables for each in records(build, table) if each.place}


def ways(build: Build) -> Mapping[str, Way]:
    """The way of each run, by run id; none for one whose ends are not joined, or at one place."""
    if not build.sections:
        return _NONE
    at = places_of(build)
    asked = tuple(
        (run.id, at[run.source], at[run.target], run.via)
        for run in build.runs
        if at.get(run.source) and at.get(run.target)
    )
    return _ways(build.sections, asked, build.header.units)


def lead_ways(build: Build) -> Mapping[str, Way]:
    """The same of switching, signal and loudspeaker leads, by lead id.

    One that comes from no named device comes from the head unit: the first that has a place.
    """
    if not build.sections or not build.leads:
        return _NONE
    at = places_of(build)
    units = (r for r in build.remotes if r.kind is SwitchedBy.HEAD_UNIT)
    head = next((at[r.id] for r in units if r.id in at), "")
    asked = []
    for lead in build.leads:
        start = at.get(lead.source, "") if lead.source else head
        if start and at.get(lead.target):
            asked.append((lead.id, start, at[lead.target], ""))
    return _ways(build.sections, tuple(asked), build.header.units)


def unjoined(build: Build) -> list[Run]:
    """Runs whose ends stand at different places that no sections join, by its ``via`` if it has.

    In a build of places without any section: all whose ends stand at different ones.
    """
    if not build.places:
        return []
    at, found = places_of(build), ways(build)
    return [
        run
        for run in build.runs
        if at.get(run.source, "") != at.get(run.target, "")
        and at.get(run.source)
        and at.get(run.target)
        and run.id not in found
    ]


_NONE: Mapping[str, Way] = MappingProxyType({})


@lru_cache(maxsize=16)
def _ways(
    sections: tuple[RouteSection, ...],
    asked: tuple[tuple[str, str, str, str], ...],
    units: UnitHabit,
) -> Mapping[str, Way]:
    joined = _joined(sections, units)
    trees: dict[str, dict[str, _Label]] = {}

    def between(start: str, end: str) -> tuple[int, ...] | None:
        if start not in trees:
            trees[start] = _tree(joined, start)
        found = trees[start].get(end)
        return None if found is None else found[2]

    ways: dict[str, Way] = {}
    for id, start, end, via in asked:
        legs = [between(start, via), between(via, end)] if via else [between(start, end)]
        if None in legs:
            continue
        taken = tuple(sections[at] for leg in legs for at in leg or ())
        if taken:
            ways[id] = Way(_visited(start, taken), taken)
    return ways


_Label = tuple[int, int, tuple[int, ...]]
"""How far [um], over how many sections, and which: compared in this order, so ties are settled."""


def _joined(
    sections: tuple[RouteSection, ...], units: UnitHabit
) -> dict[str, list[tuple[str, int, int]]]:
    """Place -> (the place beyond, length [um], which section) of each section from there."""
    joined: dict[str, list[tuple[str, int, int]]] = {}
    for at, section in enumerate(sections):
        one, other = section.from_place, section.to_place
        if one and other and one != other:
            long = round(section_m(section, units) * MICRO)
            joined.setdefault(one, []).append((other, long, at))
            joined.setdefault(other, []).append((one, long, at))
    return joined


def _tree(joined: Mapping[str, list[tuple[str, int, int]]], start: str) -> dict[str, _Label]:
    """The shortest way from a place to each that can be reached (Dijkstra).

    Of ways that are as long, one over fewer sections, then over those that stand first.
    """
    found: dict[str, _Label] = {}
    ahead: list[tuple[_Label, str]] = [((0, 0, ()), start)]
    while ahead:
        label, here = heappop(ahead)
        if here in found:
            continue
        found[here] = label
        far, count, taken = label
        for beyond, long, at in joined.get(here, ()):
            if beyond not in found:
                heappush(ahead, ((far + long, count + 1, (*taken, at)), beyond))
    return found


def _visited(start: str, taken: tuple[RouteSection, ...]) -> tuple[str, ...]:
    places = [start]
    for section in taken:
        here = places[-1]
        places.append(section.to_place if section.from_place == here else section.from_place)
    return tuple(places)
