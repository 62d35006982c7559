"""Relays that join by voltage: they close above one voltage at their input and open below another.

Between the two a relay stays as it was. It was parted when the engine started, with the music at
programme level: what it did then counts, and of two states that fit the upper is kept, joined.
With the engine off it was joined before, if it joins at cruise. Common practice: relays of the
trade close at 13.3 to 13.7 V and open at 12.8 V, some seconds later (makers' sheets agree).
"""

from collections.abc import Callable, Mapping, Sequence
from itertools import combinations

from domain.build.choices import BlockKind, Isolates
from domain.build.records import Block, Build
from domain.reference.planning import planned

InputVolts = Callable[[str, frozenset[str]], Mapping[str, float]]
"""Voltage at the input of each relay [V] in a state, with these relays parted."""


def by_voltage(block: Block) -> bool:
    """Whether a block is a relay that joins at a voltage of its own."""
    relay = block.isolates in (None, Isolates.RELAY)
    return block.kind is BlockKind.ISOLATOR and relay and block.join_v is not None


def relays(build: Build) -> tuple[Block, ...]:
    """The relays of a build that join by voltage."""
    return tuple(block for block in build.blocks if by_voltage(block))


def part_v(block: Block) -> float:
    """Voltage below which it parts [V]: as entered, else usual, and never above joining."""
    usual = planned("relay_part_v") if block.part_v is None else block.part_v
    return min(usual, block.join_v or usual)


ALL_WAYS = 3
"""Up to so many relays are looked at joined and parted in every way: eight ways."""


def ways(relays: Sequence[str]) -> tuple[frozenset[str], ...]:
    """The sets of relays that may be parted while the engine runs.

    Every set of up to ``ALL_WAYS`` relays. Of more: none, all, each alone, and all but each, so
    that the number grows with theirs and not with its power.
    """
    count = len(relays)
    sizes = range(count + 1) if count <= ALL_WAYS else (0, 1, count - 1, count)
    return tuple(frozenset(some) for size in sizes for some in combinations(relays, size))


def parted(build: Build, state: str, volts: InputVolts) -> frozenset[str]:
    """The relays that are parted in a state, by what the solved network gives at their inputs."""
    known = relays(build)
    if not known:
        return frozenset()
    every = frozenset(block.id for block in known)
    engine = state.split("-", maxsplit=1)[0]
    started = "idle-programme" if engine == "idle" else "cruise-programme"
    # one that joins may bring the voltage that the next one along the way joins at
    found = set(every)
    for _ in known:
        before = volts(started, frozenset(found))
        joins = {b.id for b in known if b.id in found and before[b.id] >= (b.join_v or 0.0)}
        if not joins:
            break
        found -= joins
    for _ in known:
        now = volts(state, frozenset(found))
        more = {b.id for b in known if b.id not in found and now[b.id] < part_v(b)}
        if not more:
            break
        found |= more
    return frozenset(found)
