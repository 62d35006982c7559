"""All checks in one list, and the cautions that go with the work."""

from domain.build.choices import Chemistry
from domain.build.records import Build
from domain.checks import (
    grounds,
    looms,
    parallel,
    protection,
    readings,
    remotes,
    sections,
    segments,
    study,
    supply,
    vehicle,
    wiring,
)
from domain.checks.assumed import with_assumptions
from domain.checks.cautions import JOINING, high_voltage
from domain.checks.context import Context
from domain.checks.devices import (
    amplifiers,
    banks,
    batteries,
    battery_limits,
    bus_bars,
    capacitors,
    charging,
    isolators,
    reserve,
    voltage_relays,
)
from domain.electrical.capacitors import is_capacitor
from domain.findings import Finding

CHECKS = (
    wiring.findings,
    segments.findings,
    protection.findings,
    study.findings,
    parallel.findings,
    supply.findings,
    vehicle.findings,
    batteries.findings,
    banks.findings,
    battery_limits.findings,
    charging.findings,
    isolators.findings,
    reserve.findings,
    amplifiers.findings,
    capacitors.findings,
    grounds.findings,
    looms.findings,
    sections.findings,
    readings.findings,
    remotes.findings,
    bus_bars.findings,
    voltage_relays.findings,
)


def all_findings(context: Context) -> list[Finding]:
    """Every electrical finding of a build, in the order of the checks."""
    found = (finding for check in CHECKS for finding in check(context))
    return list(with_assumptions(context, found))


def cautions(build: Build) -> tuple[str, ...]:
    """The cautions that this build calls for. They stand beside the plan, never in its place."""
    found = [
        "The vehicle maker's instructions, local code and licensed practice come before this plan.",
        "Disconnect the battery's negative first and reconnect it last; wait as the vehicle maker "
        "says before working near airbags or their wiring. Eye protection on, rings and watch off.",
        high_voltage(build)
        or "Never touch, cut or route along orange high-voltage cables of hybrid and electric "
        "vehicles.",
        "Look behind every panel before drilling: fuel and brake lines, airbags, harnesses.",
        "Keep wires clear of moving parts, exhaust and fuel lines; grommet every hole in metal.",
        "Leave the main fuse out until every joint is made and every run is checked with a meter.",
        "Engine running: exhaust led outdoors, hands, leads and sleeves clear of belts and fan.",
        "Full power harms ears and speakers: ears protected, short, or into a dummy load.",
    ]
    if len(build.batteries) > 1:
        found.append(
            "More than one battery: disconnect every one, leave the fuses of all of them out, and "
            f"{JOINING}."
        )
    if any(b.chemistry is Chemistry.LIFEPO4 for b in build.batteries):
        found.append(
            "LiFePO4: charge only within its maker's limits, not below freezing, with its own "
            "protection in place."
        )
    if any(b.chemistry is not Chemistry.LIFEPO4 for b in build.batteries):
        found.append("Lead-acid batteries give off hydrogen: no sparks, eye protection, fresh air.")
    if any(is_capacitor(each) for each in build.appliances):
        found.append(
            "Capacitors: never join an empty one, charge it through a resistor first. Never touch "
            "or bridge its terminals, rings and tools away. Before work on it, discharge it "
            "through a resistor, and see with the meter that it is empty."
        )
    if build.parts:
        found.append(
            "Clamp the sheet before saw, router or drill; eyes, ears and lungs protected. Where "
            "plastic is bent hot, it burns and fumes: heat it outdoors or under extraction."
        )
    return tuple(found)
