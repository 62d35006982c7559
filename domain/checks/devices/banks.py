"""Batteries that charge together: does anything limit what they take, and are they alike?"""

from collections.abc import Iterator, Sequence

from domain.build.choices import Chemistry
from domain.build.records import Battery
from domain.checks.context import Context
from domain.electrical import charging, sources
from domain.electrical.network.charge_reach import side_by_side
from domain.electrical.network.converters import is_converter
from domain.electrical.network.wiring import joined_nodes
from domain.findings import Finding, Level
from domain.reference.planning import planned

PRACTICE = "common practice"

TRIPS = 1.25
"""Protection boards part a battery from about this share of what they carry for good (typical)."""

UNLIKE = 1.1
"""Capacities that differ by more than this are not one kind of battery."""


def findings(c: Context) -> Iterator[Finding]:
    """Findings about unlimited charge of LiFePO4, and unlike batteries side by side."""
    yield from _unlimited(c)
    yield from _unlike(c)


def _joined(c: Context, start: str) -> set[str]:
    """The devices that wire and isolators join to a battery.

    A DC-DC charger limits the current: nothing counts as joined through it.
    """
    nodes = joined_nodes(
        *(c.build, c.wiring, (f"{start}_pos",)),
        through=lambda isolator: not is_converter(isolator),
    )
    return {node.removesuffix("_pos") for node in nodes if node.endswith("_pos")}


def _unlimited(c: Context) -> Iterator[Finding]:
    """LiFePO4 takes what it is given: is that more than it stands, with no charger between?"""
    seen: set[str] = set()
    for battery in c.build.batteries:
        if battery.chemistry is not Chemistry.LIFEPO4 or battery.id in seen:
            continue
        together = _joined(c, battery.id)
        seen |= together
        if _limits_told(c, together):
            continue  # each is judged by its own
        alternators = [g for g in charging.live_alternators(c.build) if g.id in together]
        given = sum(sources.alternator_limit_a(g, False) - g.vehicle_load_a for g in alternators)
        takes = sum(sources.greatest_charge_a(b) for b in c.build.batteries if b.id in together)
        if given > TRIPS * takes:
            yield Finding(
                Level.FIX,
                "charge-unlimited",
                f"{c.name(battery.id)} is charged faster than it withstands",
                f"{c.amps(given)} are left while driving and nothing limits them; makers allow "
                f"{planned('charge_c_most_LiFePO4'):g} times the capacity, {c.amps(takes)} for "
                "all that charge together. Its protection then parts it at full current, and the "
                "voltage of the whole vehicle jumps",
                "a DC-DC charger of its size between, or more batteries",
                "LiFePO4 charge limits, pack makers' sheets (typical)",
                "batteries",
                battery.id,
                "capacity_ah",
            )


def _limits_told(c: Context, together: set[str]) -> bool:
    """Whether what each LiFePO4 battery among these takes was entered."""
    lithium = [b for b in c.build.batteries if b.chemistry is Chemistry.LIFEPO4]
    return all(b.charge_limit_a is not None for b in lithium if b.id in together)


def _unlike(c: Context) -> Iterator[Finding]:
    """Of batteries side by side the smaller is worked harder, the older drags the newer down."""
    for together in side_by_side(c.build, c.wiring):
        yield from _two_leads(c, together)
        yield from _ages(c, together)
        for chemistry in Chemistry:
            alike = [b for b in together if b.chemistry is chemistry]
            capacities = [b.capacity_ah for b in alike]
            if len(alike) > 1 and max(capacities) > min(capacities) * UNLIKE:
                yield _told(c, min(alike, key=lambda b: b.capacity_ah), max(capacities))


def _two_leads(c: Context, beside: Sequence[Battery]) -> Iterator[Finding]:
    """Flooded and AGM on one wire: both are lead, but each wants another voltage."""
    flooded = next((b for b in beside if b.chemistry is Chemistry.FLOODED), None)
    agm = next((b for b in beside if b.chemistry is Chemistry.AGM), None)
    if flooded and agm:
        rest = [c.volts(sources.rest_voltage_v(b.chemistry, 1.0)) for b in (flooded, agm)]
        yield Finding(
            Level.NOTE,
            "lead-unlike",
            f"{c.name(flooded.id)} is flooded, {c.name(agm.id)} AGM, with no isolator between",
            f"full, they rest at {rest[0]} and {rest[1]}: with the engine off the one keeps "
            "charging the other, and one charging voltage suits only one of them",
            "batteries side by side of one kind; else an isolator between",
            PRACTICE,
            "batteries",
            flooded.id,
            "chemistry",
        )


def _ages(c: Context, beside: Sequence[Battery]) -> Iterator[Finding]:
    """The older of two drags the newer down to what it can still do."""
    told = [(b.made_year, b) for b in beside if b.made_year is not None]
    if not told:
        return
    (old_year, old), (new_year, new) = (pick(told, key=lambda each: each[0]) for pick in (min, max))
    if new_year - old_year > planned("unlike_years"):
        yield Finding(
            Level.NOTE,
            "batteries-ages",
            f"{c.name(old.id)} is {new_year - old_year} years older than {c.name(new.id)}",
            f"made in {old_year} and {new_year}, with no isolator between: the older takes more to "
            "charge and gives less, and the newer ages with it",
            "renew both together, or an isolator between",
            PRACTICE,
            "batteries",
            old.id,
            "made_year",
        )


def _told(c: Context, small: Battery, largest_ah: float) -> Finding:
    mine, other = (c.show("capacity", ah) for ah in (small.capacity_ah, largest_ah))
    return Finding(
        Level.NOTE,
        "batteries-unlike",
        f"{c.name(small.id)} stands beside a larger battery, with no isolator between",
        f"{mine} beside {other}: they share currents by resistance, not by size, and age apart",
        "batteries side by side of one kind, size and age, joined as new; else an isolator between",
        PRACTICE,
        "batteries",
        small.id,
        "capacity_ah",
    )
