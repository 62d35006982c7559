"""Sections of the vehicle: ways that end nowhere, holes in panels, what is beside them."""

from collections.abc import Iterator

from domain.build.record_kinds.route_records import PanelHole, RouteSection
from domain.cable.panel_holes import crosses
from domain.checks.context import Context, named
from domain.findings import Finding, Level
from domain.routes.ways import places_of, section_m, unjoined, ways

PRACTICE = "common practice"

_BESIDE = (
    (
        "fuel",
        "a fuel or brake line runs beside",
        "see the line before you drill or clamp, keep clear of it, no clamp of it for wires",
    ),
    (
        "airbag",
        "an airbag or its wiring is beside",
        "battery off, wait as the vehicle maker says; never tie to yellow wiring, never across it",
    ),
    (
        "high_voltage",
        "orange high-voltage cables are beside",
        "never touch, cut, move or tie to them; another way is better",
    ),
    (
        "exhaust",
        "the exhaust or its heat is beside",
        "keep clear of it, a heat shield between; give the section the location as hot as it gets",
    ),
)
"""Field of a section, what is beside it, and what to do."""


def findings(c: Context) -> Iterator[Finding]:
    """Nothing in a build without places."""
    if not (c.build.places or c.build.sections):
        return
    yield from _not_joined(c)
    taken = {each.id for way in ways(c.build).values() for each in way.sections}
    joined = {at for each in c.build.sections for at in (each.from_place, each.to_place)}
    if c.build.sections:
        used = set(places_of(c.build).values())
        for place in c.build.places:
            if place.id not in joined and place.id in used:
                yield _lonely(c, place.id)
    yield from _unmeasured(c, [each for each in c.build.sections if each.id in taken])
    for section in c.build.sections:
        if "" in (section.from_place, section.to_place) or section.from_place == section.to_place:
            yield _endless(c, section)
        elif section.id in taken:
            yield from _of_section(c, section)


def beside(section: RouteSection) -> list[tuple[str, str]]:
    """What is beside a section that hurts, and what to do: once for all runs that take it."""
    return [(what, do) for field, what, do in _BESIDE if getattr(section, field)]


def _not_joined(c: Context) -> Iterator[Finding]:
    at = places_of(c.build)
    for run in unjoined(c.build):
        ends = f"{c.name(at[run.source])} and {c.name(at[run.target])}"
        by = f" by way of {c.name(run.via)}" if run.via else ""
        yield Finding(
            Level.FIX,
            "way-missing",
            f"{c.name(run.id)}: no sections lead from {c.name(at[run.source])} to "
            f"{c.name(at[run.target])}{by}",
            f"its ends stand at {ends}; its length is not known from the sections",
            "add the section that is missing, or measure this run by itself",
            PRACTICE,
            "runs",
            run.id,
            "via" if run.via else "length_m",
        )


def _lonely(c: Context, place: str) -> Finding:
    return Finding(
        Level.NOTE,
        "place-alone",
        f"No section leads to {c.name(place)}",
        "wires that end there have no way to other places",
        "add a section from a place beside it",
        PRACTICE,
        "places",
        place,
        "name",
    )


def _endless(c: Context, section: RouteSection) -> Finding:
    same = section.from_place and section.from_place == section.to_place
    return Finding(
        Level.FIX,
        "section-ends",
        f"{c.name(section.id)} {'ends where it begins' if same else 'lacks a place at an end'}",
        "no run can take it",
        "choose the two places that it joins",
        PRACTICE,
        "sections",
        section.id,
        "to_place" if section.from_place else "from_place",
    )


def _unmeasured(c: Context, taken: list[RouteSection]) -> Iterator[Finding]:
    """Sections that a run takes and nobody measured, told once."""
    found = [section for section in taken if section.length_m is None]
    if not found:
        return
    first, alone = found[0], len(found) == 1
    each = c.show("length", section_m(first, c.build.header.units))
    names = named([c.name(section.id) for section in found])
    yield Finding(
        Level.NOTE,
        "section-length",
        f"{c.name(first.id)}: section not measured yet"
        if alone
        else f"{len(found)} sections not measured yet",
        f"{each} is assumed" if alone else f"{each} is assumed of each: {names}",
        "lay a tape or a string along it, from place to place",
        PRACTICE,
        "sections",
        first.id,
        "length_m",
    )


def _of_section(c: Context, section: RouteSection) -> Iterator[Finding]:
    name = c.name(section.id)

    def found(level: Level, code: str, what: str, why: str, do: str, field: str) -> Finding:
        return Finding(level, code, what, why, do, PRACTICE, "sections", section.id, field)

    count = sum(section in way.sections for way in ways(c.build).values())
    runs = f"{count} {'runs take' if count > 1 else 'run takes'} it"
    if crosses(section):
        panel = section.panel.strip() or "a panel"
        if section.hole is PanelHole.BARE:
            yield found(
                Level.FIX,
                "hole-bare",
                f"{name}: no grommet where it goes through {panel}",
                f"the edge cuts through insulation as the vehicle shakes; {runs}",
                "a new hole with a grommet, or the vehicle's own grommet",
                "hole",
            )
        elif section.hole is PanelHole.UNKNOWN:
            yield found(
                Level.NOTE,
                "hole-unknown",
                f"{name}: how it goes through {panel} is not told",
                f"a new hole and its grommet are on the bill; {runs}",
                "choose its hole: a new one, or the vehicle's own grommet",
                "hole",
            )
    for field, what, do in _BESIDE:
        if getattr(section, field):
            level = Level.FIX if field == "high_voltage" else Level.NOTE
            yield found(level, f"beside-{field}", f"{name}: {what} it", runs, do, field)
