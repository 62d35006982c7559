"""What the vehicle itself is: an alternator that lowers its voltage, a converter in its place."""

from collections.abc import Iterator

from domain.build.choices import BlockKind, Chemistry, Isolates
from domain.build.records import Alternator, Block
from domain.checks.context import Context
from domain.electrical.network import charge_reach
from domain.electrical.network.converters import is_converter
from domain.electrical.network.voltage_relays import by_voltage, part_v
from domain.electrical.network.wiring import joined_nodes
from domain.findings import Finding, Level
from domain.reference.planning import planned

SMART = "isolating relays' sheets; states of smart alternators (typical, from memory)"
OVERRUN = "voltages of smart alternators and of batteries for them (typical, from memory)"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about what is behind a smart alternator, and what charges a high-voltage car."""
    if c.build.header.drive.high_voltage:
        yield from _converter(c)
        return
    smart = [g for g in c.build.alternators if charge_reach.is_smart(c.build, g)]
    if smart:
        yield from _isolators(c)
        yield from _overrun(c)
    for g in smart:
        yield from _states(c, g)


def _isolators(c: Context) -> Iterator[Finding]:
    """Isolators whose side of the alternators falls below what charges, on the road."""
    held = charge_reach.on_the_road(c.build, c.wiring)
    for block in c.build.blocks:
        if block.kind is not BlockKind.ISOLATOR or is_converter(block):
            continue
        low = held.get(f"{block.id}_in", 0.0)
        if low >= planned("charge_least_v"):
            continue  # another alternator keeps it up
        behind = joined_nodes(
            c.build, c.wiring, (f"{block.id}_out",), through=lambda isolator: False
        )
        if not low or not any(f"{b.id}_pos" in behind for b in c.build.batteries[1:]):
            continue
        high = charge_reach.overrun(c.build, c.wiring).get(f"{block.id}_in")
        relay = block.isolates in (None, Isolates.RELAY)
        why = (
            f"on the road it holds some {c.volts(low)}, and up to {c.volts(high)} when the vehicle "
            "slows; " + (_senses(c, block, low) if relay else "that charges no battery")
        )
        yield Finding(
            Level.FIX,
            "smart-isolator",
            f"{c.name(block.id)} fails behind a smart alternator",
            why,
            "a DC-DC charger in its place, made for smart alternators and told of the ignition",
            SMART,
            "blocks",
            block.id,
            "isolates",
        )


def _senses(c: Context, block: Block, low: float) -> str:
    if not by_voltage(block):
        return "a relay that senses voltage joins at 13.3 to 13.7 V and parts at 12.8 V"
    joins, parts = c.volts(block.join_v), c.volts(part_v(block))
    if part_v(block) <= low:
        return f"this relay parts below {parts}: it stays joined, and that charges no battery"
    return f"this relay joins at {joins} and parts at {parts}"


def _overrun(c: Context) -> Iterator[Finding]:
    """Batteries that get more than they withstand as the vehicle slows, and do not anyway."""
    held = charge_reach.overrun(c.build, c.wiring)
    for battery in c.build.batteries:
        if battery.id in c.wiring.idle:
            continue
        volts = held.get(f"{battery.id}_pos", 0.0)
        always = charge_reach.best_v(c.build, c.wiring, battery) or 0.0
        chemistry = battery.chemistry.value
        most = planned(f"overrun_most_v_{chemistry}")
        if volts <= most + NEAR_V or always > most + NEAR_V:
            continue
        lithium = battery.chemistry is Chemistry.LIFEPO4
        harm = (
            "its own protection parts it then, and leaves what is fed there to the alternator alone"
            if lithium
            else "for seconds that is made good; each time the vehicle slows it dries a little"
        )
        yield Finding(
            Level.FIX if lithium else Level.NOTE,
            "smart-overrun",
            f"{c.name(battery.id)} gets {c.volts(volts)} as the vehicle slows",
            "a smart alternator raises its voltage then, to win back what braking has; "
            f"{chemistry} withstands {c.volts(most)} at its posts: {harm}",
            f"a DC-DC charger for {chemistry} ahead of it"
            + ("" if battery is c.build.batteries[0] else ", in the place of isolator or wire")
            + "; else the highest voltage seen at the posts, under Raised to",
            OVERRUN,
            "batteries",
            battery.id,
            "chemistry",
        )


NEAR_V = 0.005
"""Voltages that differ by less are the same [V]."""


def _states(c: Context, g: Alternator) -> Iterator[Finding]:
    low = c.volts(charge_reach.road_v(c.build, g))
    yield Finding(
        Level.NOTE,
        "smart-states",
        f"{c.name(g.id)} is smart: {c.volts(g.regulated_v)} are not there at all times",
        "the conditions with the engine running, and the trip, take the charging voltage, which it "
        f"gives after the start and under load; lowered to some {low}{_on_the_road(c)}",
        "look at those with the engine off too; ground new loads at the body, not at the post with "
        "the battery's sensor, which has to see their current",
        SMART,
        "alternators",
        g.id,
        "regulated_v",
    )


def _on_the_road(c: Context) -> str:
    """What the solved network says of driving with the voltage lowered."""
    average, full = (
        next((s for s in c.lowered if s.id == id and s.converged), None)
        for id in ("cruise-programme", "cruise-tone")
    )
    said = ""
    if average is not None:
        given = {b.id: average.battery_a[b.id] for b in c.build.batteries}
        most = max(given, key=lambda id: given[id], default="")
        if most and given[most] > DRAINED_A:
            said += f", {c.amps(given[most])} come out of {c.name(most)} with the music on average"
    if full is not None and full.amplifier_v:
        worst = min(full.amplifier_v, key=lambda id: full.amplifier_v[id])
        off = ", which shuts it down" if worst in full.off else ""
        said += (
            f", and at full power {c.volts(full.amplifier_v[worst])} get to {c.name(worst)}{off}"
        )
    return said or " the batteries feed the music, as with the engine off"


DRAINED_A = 0.5
"""A battery that gives less than this is as good as at rest [A]. Common practice."""


def _converter(c: Context) -> Iterator[Finding]:
    """In a hybrid or electric vehicle what charges gives the same at any speed."""
    for g in c.build.alternators:
        given = g.rated_a if g.idle_a is None else g.idle_a
        if g.hot and given >= g.rated_a and g.idle_a is not None:
            continue
        yield Finding(
            Level.NOTE,
            "converter-output",
            f"{c.name(g.id)}: what does the 12 V converter give?",
            f"a {c.build.header.drive.value} vehicle charges its 12 V side by a DC-DC converter "
            "from the traction battery, while it is ready to drive and at no other time, the same "
            "at any speed: 100 to 200 A at 13.5 to 14.8 V are usual",
            "enter its output from the maker's data under Output A and At idle, say yes under "
            "Rated hot, and its voltage; ask the maker how much may be taken besides",
            "typical outputs of vehicles' 12 V converters (from memory)",
            "alternators",
            g.id,
            "idle_a",
        )
