"""Does each relay that joins by voltage join when it should, stay joined, and part again?"""

from collections.abc import Iterator

from domain.build.records import Block
from domain.checks.context import Context
from domain.electrical.network.voltage_relays import ALL_WAYS, part_v, relays
from domain.findings import Finding, Level

SOURCE = "common practice: relays that join by voltage, makers' figures of 13.3 to 13.7 and 12.8 V"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about relays that never join, that come and go, or that stay joined."""
    yield from _not_every_way(c)
    states = {state.id: state for state in c.states if state.converged}
    for block in relays(c.build):
        if block.part_v is not None and block.part_v > (block.join_v or 0.0):
            yield _parts_high(c, block)
            continue
        cruise, off = states.get("cruise-programme"), states.get("off-programme")
        if cruise is None or off is None or block.join_v is None:
            continue
        seen = cruise.node_v[f"{block.id}_in"]
        if block.id in (cruise.parted or ()):
            comes_and_goes = seen >= block.join_v
            yield _chatters(c, block, seen) if comes_and_goes else _never(c, block, seen)
        elif block.id not in (off.parted or ()):
            yield Finding(
                Level.NOTE,
                "relay-stays",
                f"{c.name(block.id)} stays joined with the engine off",
                f"its input is at {c.volts(off.node_v[f'{block.id}_in'])} then, and it parts below "
                f"{c.volts(part_v(block))}: the music takes from the starter battery too",
                "let it part at a higher voltage, or let the ignition hold it",
                SOURCE,
                "blocks",
                block.id,
                "part_v",
            )


def _not_every_way(c: Context) -> Iterator[Finding]:
    """Of many relays not every way in which they may be joined was looked at."""
    found = relays(c.build)
    if len(found) > ALL_WAYS:
        yield Finding(
            Level.NOTE,
            "relays-many",
            f"{len(found)} relays join by voltage: not every mix of them was looked at",
            "wires and fuses were sized for all joined, all parted, and each joined or parted "
            f"alone; every mix is looked at of up to {ALL_WAYS}",
            "let the ignition hold some of them, or measure at the mixes that can last",
            SOURCE,
            "blocks",
            found[0].id,
            "join_v",
        )


def _parts_high(c: Context, block: Block) -> Finding:
    return Finding(
        Level.FIX,
        "relay-part-high",
        f"{c.name(block.id)} parts above the voltage that it joins at",
        f"it joins at {c.volts(block.join_v)} and parts below {c.volts(block.part_v)}: between the "
        "two it would join and part again and again",
        "a lower voltage to part at, or leave it on auto",
        SOURCE,
        "blocks",
        block.id,
        "part_v",
    )


def _never(c: Context, block: Block, seen: float) -> Finding:
    return Finding(
        Level.FIX,
        "relay-never",
        f"{c.name(block.id)} never joins while driving",
        f"its input is at {c.volts(seen)}, and it joins at {c.volts(block.join_v)}: what is behind "
        "it is not charged; so it is with alternators whose voltage is let fall on the road",
        "a DC-DC charger in its place, or a relay that the ignition holds",
        SOURCE,
        "blocks",
        block.id,
        "join_v",
    )


def _chatters(c: Context, block: Block, seen: float) -> Finding:
    return Finding(
        Level.FIX,
        "relay-chatters",
        f"{c.name(block.id)} joins and parts again and again",
        f"parted its input is at {c.volts(seen)} and it joins, joined it falls below "
        f"{c.volts(part_v(block))} and it parts: its contacts burn",
        "thicker wire ahead of it, less load behind it, or a lower voltage to part at",
        SOURCE,
        "blocks",
        block.id,
        "part_v",
    )
