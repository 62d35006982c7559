"""Does a further battery behind an isolator feed anything of its own?"""

from collections.abc import Iterator

from domain.build.choices import BlockKind, Isolates
from domain.build.records import Appliance, Block
from domain.checks.context import Context
from domain.electrical.capacitors import is_capacitor
from domain.electrical.loads import Taker, takers
from domain.electrical.network.wiring import joined_nodes
from domain.findings import Finding, Level

PRACTICE = "common practice; by definition: an open isolator passes nothing"


def findings(c: Context) -> Iterator[Finding]:
    """One note for each battery, or bank, that an isolator parts from all that draws."""
    draws = {f"{load.id}_pos" for load in takers(c.build) if not _is_buffer(load)}
    told: set[str] = set()
    for battery in c.build.batteries[1:]:
        node = f"{battery.id}_pos"
        if not draws or node in told or battery.id in c.wiring.idle:
            continue
        here = joined_nodes(c.build, c.wiring, (node,), through=lambda isolator: False)
        told |= here
        isolator = _isolator(c, here)
        if isolator is None or (draws | {f"{c.build.batteries[0].id}_pos"}) & here:
            continue
        yield Finding(
            Level.NOTE,
            "battery-reserve",
            f"{c.name(battery.id)} feeds nothing of its own: {_behind(isolator)}, all is "
            "drawn from the others",
            f"{c.name(isolator.id)} parts it from every amplifier and load; "
            + (
                "it passes nothing back, so that this battery is charged and never used"
                if (isolator.isolates or Isolates.RELAY).one_way
                else "with the engine off the starter battery alone feeds them, and may not start"
            ),
            "feed the block of the amplifiers from it: go to that block, ^R, and choose "
            f"{c.name(battery.id)}; leave it so only where it is a reserve for starting",
            PRACTICE,
            "batteries",
            battery.id,
            "name",
        )


def _is_buffer(load: Taker) -> bool:
    return isinstance(load, Appliance) and is_capacitor(load)


def _isolator(c: Context, here: frozenset[str]) -> Block | None:
    """The isolator that parts these nodes from the rest."""
    for block in c.build.blocks:
        if block.kind is BlockKind.ISOLATOR and {f"{block.id}_in", f"{block.id}_out"} & here:
            return block
    return None


def _behind(isolator: Block) -> str:
    kind = isolator.isolates or Isolates.RELAY
    return f"behind a {kind.value}" if kind.one_way else f"with the {kind.value} open"
