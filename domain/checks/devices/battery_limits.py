"""Does the plan send a battery more than its own protection lets through?

Only limits that were entered are judged: what a protection board stands is on its data sheet, and
nothing is guessed of it.
"""

from collections.abc import Iterator

from domain.build.choices import Chemistry
from domain.build.records import Battery
from domain.checks.context import Context
from domain.electrical import sources
from domain.electrical.network.charge_reach import given_a
from domain.findings import Finding, Level
from domain.reference.planning import planned
from domain.ties import first_most

SOURCE = "the battery maker's data sheet, as entered; "
PARTS = "its protection then parts it at full current, and what it feeds is dead at once"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about discharge, charge, starting and temperature beyond what was entered."""
    for battery in c.build.batteries:
        if battery.id in c.wiring.idle:
            continue
        yield from _discharge(c, battery)
        yield from _charge(c, battery)
        yield from _temperature(c, battery)
    yield from _starts(c)


def _discharge(c: Context, battery: Battery) -> Iterator[Finding]:
    """What is drawn in the solved states, on average first: at full power it is not for long."""
    limit = battery.discharge_limit_a
    if limit is None:
        return
    for level in ("programme", "tone"):
        states = [s for s in c.states if s.id.endswith(level)]
        if not states:
            continue
        most = first_most(states, lambda s: s.battery_a[battery.id])
        given, state = most.battery_a[battery.id], most.title
        if given > limit * 1.0001:
            yield Finding(
                Level.FIX,
                "battery-discharge",
                f"{c.name(battery.id)} gives {c.amps(given)}, more than its protection lets out",
                f"{state}; it lets out {c.amps(limit)} for good; {PARTS}",
                "a battery that gives more, one more beside it, or less load on it",
                SOURCE + "the solved network",
                "batteries",
                battery.id,
                "discharge_limit_a",
            )
            return


def _charge(c: Context, battery: Battery) -> Iterator[Finding]:
    limit = battery.charge_limit_a
    if limit is None:
        return
    lithium = battery.chemistry is Chemistry.LIFEPO4
    own = "its protection" if lithium else "its maker"
    then = PARTS if lithium else "more heats it and drives its water out"
    given = given_a(c.build, c.wiring, battery)
    if given.amperes > limit * 1.0001:
        by = " and ".join(c.name(id) for id in given.by)
        yield Finding(
            Level.FIX,
            "battery-charge",
            f"{c.name(battery.id)} gets {c.amps(given.amperes)}, more than {own} lets in",
            f"so much of {by} is left for it while driving, with no music, when it is empty; it "
            f"takes {c.amps(limit)} for good; {then}",
            f"a DC-DC charger of {c.amps(limit)} or less between, or more batteries beside it",
            SOURCE + "what charges it at the most, shared by capacity",
            "batteries",
            battery.id,
            "charge_limit_a",
        )


def _temperature(c: Context, battery: Battery) -> Iterator[Finding]:
    zone = next((z for z in c.build.zones if z.id == battery.zone), None)
    if zone is None:
        return
    most, charging = battery.hottest_c, battery.charge_hottest_c
    here = f"{c.show('temperature', zone.ambient_c)} in {zone.name or zone.id}"
    if most is not None and zone.ambient_c > most:
        yield Finding(
            Level.FIX,
            "battery-hot",
            f"{c.name(battery.id)} sits too hot",
            f"{here}; its protection parts it above {c.show('temperature', most)}",
            "a cooler place, inside the vehicle",
            SOURCE + "design temperature of its location",
            "batteries",
            battery.id,
            "zone",
        )
    elif charging is not None and zone.ambient_c > charging:
        yield Finding(
            Level.NOTE,
            "battery-hot-charge",
            f"{c.name(battery.id)} is not charged while it is hot",
            f"{here}; above {c.show('temperature', charging)} its protection takes no charge: what "
            "is played then is not put back",
            "a cooler place, or look with a thermometer how warm it gets there",
            SOURCE + "design temperature of its location",
            "batteries",
            battery.id,
            "zone",
        )


def _starts(c: Context) -> Iterator[Finding]:
    """The first battery turns the starter: its protection has to pass that."""
    first = next(iter(c.build.batteries), None)
    if first is None or first.discharge_limit_a is None or c.build.header.drive.high_voltage:
        return
    rest = sources.rest_voltage_v(first.chemistry, planned("state_of_charge"))
    start = rest / (sources.internal_ohm(first) + planned("starter_ohm"))
    if start > first.discharge_limit_a:
        yield Finding(
            Level.NOTE,
            "battery-starts",
            f"{c.name(first.id)}: does its protection pass what the starter takes?",
            f"some {c.amps(start)} for a second or two, of a petrol engine; it lets out "
            f"{c.amps(first.discharge_limit_a)} for good",
            "look for its peak on the data sheet; without it leave the starting to a battery made "
            "for that",
            SOURCE + "a starter's resistance (typical, from memory)",
            "batteries",
            first.id,
            "discharge_limit_a",
        )
