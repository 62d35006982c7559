"""What flows as an isolator closes: a full side and a half-empty one even out.

For seconds, through least internal resistances. Fuses on the way stand it where it is no more than
they need not open at.
"""

from collections.abc import Mapping
from math import inf

from msgspec import Struct

from domain.build.choices import BlockKind, Polarity
from domain.build.records import Block, Build, Run
from domain.electrical.network.converters import is_converter
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.network.system import one_way
from domain.electrical.network.wiring import Wiring
from domain.electrical.protection import circumstances, unlike
from domain.electrical.protection.circulation import MUST_OPEN
from domain.electrical.protection.cut_network import CutNetwork, cut_network
from domain.electrical.protection.fault_cases import Case, FaultNetwork, Place, isolators_of
from domain.electrical.sizing.sized import Sized
from domain.reference.planning import planned


class Surge(Struct, frozen=True):
    """What an isolator passes for seconds [A]: open voltage [V] over resistance [ohm].

    ``ohm`` is all that is in the circle, ``share`` what of its current takes the isolator.
    """

    volts: float = 0.0
    ohm: float = inf
    share: float = 1.0

    @property
    def amperes(self) -> float:
        """The current through the isolator."""
        return abs(self.share) * self.volts / self.ohm


class Cold(Struct, frozen=True):
    """The network cut at its fuses, and its edges' resistances with cold wire, by id [ohm]."""

    net: CutNetwork
    ohm: Mapping[str, float]


def cold(build: Build, wiring: Wiring, items: Mapping[str, Conductor], sized: Sized) -> Cold:
    """The network that surges are worked out on."""
    wire_m = {id: item.wire_m for id, item in items.items()}
    net = sized.net or cut_network(build, wiring, wire_m)
    ohm = circumstances.edge_ohm(net, build, items, sized.gauge, sized.fuse_a, weak=False)
    return Cold(net, ohm)


def joining(build: Build, network: Cold, block: Block) -> Surge:
    """As it closes: one side full and charged, the other half empty, whichever way round.

    All other isolators open. What passes one way is looked at that way alone.
    """
    near, far = f"{block.id}_in", f"{block.id}_out"
    core = network.net.positive.core
    if is_converter(block) or near not in core or far not in core:
        return Surge()
    parted = unlike.sides(network.net)
    found = [Surge()]
    for full, empty in ((near, far), (far, near)):
        taking = next((side for side in parted if empty in side), None)
        if taking is None or full in taking or (one_way(block) and full == far):
            continue
        given = unlike.full_and_empty(build, network.net, taking)
        case = Case("", given, network.ohm, frozenset(isolators_of(network.net)))
        place = Place("", ((full, 1.0),), empty)
        contacts = planned("isolator_ohm")
        volts, ohm = FaultNetwork(network.net, case, frozenset()).behind(place, contacts, 0.0)
        found.append(Surge(max(volts, 0.0), ohm + contacts))
    return max(found, key=lambda surge: surge.amperes)


def joinings(
    build: Build, wiring: Wiring, items: Mapping[str, Conductor], sized: Sized
) -> dict[str, float]:
    """What each isolator passes as it closes, by its id [A]."""
    isolators = [block for block in build.blocks if block.kind is BlockKind.ISOLATOR]
    if not isolators:
        return {}
    network = cold(build, wiring, items, sized)
    return {block.id: joining(build, network, block).amperes for block in isolators}


def alone_at(build: Build, wiring: Wiring, block: str) -> list[Run]:
    """The runs that carry all of what an isolator passes: each the only one on its side."""
    plus = [r for r in build.runs if r.polarity is Polarity.POSITIVE and r.id in wiring.ends]
    sides = [r for r in plus if r.target == block], [r for r in plus if r.source == block]
    return [side[0] for side in sides if len(side) == 1]


def fuses_ask_a(build: Build, wiring: Wiring, joining_a: Mapping[str, float]) -> dict[str, float]:
    """What fuses that the engine chooses, of runs at isolators, must carry as these close [A].

    By run id, all its wires together. No fuse must open below 1.35 of its rating (ISO 8820, from
    memory).
    """
    found: dict[str, float] = {}
    for id, amperes in joining_a.items():
        for run in alone_at(build, wiring, id):
            if not (run.fused or run.far_fused) or run.fuse_a is not None:
                continue
            found[run.id] = max(found.get(run.id, 0.0), amperes / MUST_OPEN)
    return found
