"""What the vehicle itself is: an alternator that lowers its voltage, a converter in its place."""

from collections.abc import Iterator

from domain.build.choices import BlockKind, Isolates
from domain.build.records import Block
from domain.checks.context import Context
from domain.electrical.network.converters import is_converter
from domain.electrical.network.voltage_relays import by_voltage, part_v
from domain.electrical.network.wiring import joined_nodes
from domain.findings import Finding, Level
from domain.reference.planning import planned

SMART = "isolating relays' sheets; states of smart alternators (typical, from memory)"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about isolators behind a smart alternator, and what charges a high-voltage car."""
    header = c.build.header
    if header.drive.high_voltage:
        yield from _converter(c)
    elif header.smart_alternator and c.build.alternators:
        yield from _isolators(c)
        yield from _states(c)


def _isolators(c: Context) -> Iterator[Finding]:
    low = planned("smart_low_v")
    for block in c.build.blocks:
        if block.kind is not BlockKind.ISOLATOR or is_converter(block):
            continue
        behind = joined_nodes(
            c.build, c.wiring, (f"{block.id}_out",), through=lambda isolator: False
        )
        if not any(f"{b.id}_pos" in behind for b in c.build.batteries[1:]):
            continue
        relay = block.isolates in (None, Isolates.RELAY)
        why = (
            f"on the road it holds some {c.volts(low)}, and up to 15 V when the vehicle slows; "
            + (_senses(c, block) if relay else "that charges no battery")
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


def _senses(c: Context, block: Block) -> str:
    if not by_voltage(block):
        return "a relay that senses voltage joins at 13.3 to 13.7 V and parts at 12.8 V"
    joins, parts = c.volts(block.join_v), c.volts(part_v(block))
    if part_v(block) <= planned("smart_low_v"):
        return f"this relay parts below {parts}: it stays joined, and that charges no battery"
    return f"this relay joins at {joins} and parts at {parts}"


def _states(c: Context) -> Iterator[Finding]:
    g = c.build.alternators[0]
    yield Finding(
        Level.NOTE,
        "smart-states",
        f"{c.name(g.id)} is smart: {c.volts(g.regulated_v)} are not there at all times",
        "the states with the engine running take the charging voltage, which it gives after the "
        f"start and under load; lowered to some {c.volts(planned('smart_low_v'))} the batteries "
        "feed the music, as in the states with the engine off",
        "look at those too; ground new loads at the body, not at the post with the battery's "
        "sensor, which has to see their current",
        SMART,
        "alternators",
        g.id,
        "regulated_v",
    )


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
            "enter its output from the maker's data under Output and At idle, say yes under Hot "
            "rating, and its voltage; ask the maker how much may be taken besides",
            "typical outputs of vehicles' 12 V converters (from memory)",
            "alternators",
            g.id,
            "idle_a",
        )
