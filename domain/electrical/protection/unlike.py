"""Shorts between two plus points of unlike voltage: the two sides of an isolator.

In one loom the wires of a full side and of a half-empty one lie together: a starter battery under
an alternator and a house battery behind its isolator, 12 V and the output of a charger. Where their
insulation is rubbed through they are joined past the isolator, whatever it does.

- *For good* nothing new can flow. What goes through a wire then has to end in the batteries of its
  own side, and through their fuses they can take no more than they can give: the first proof has
  put that much into the wire already. A charger goes round in a circle, with its rating.
- *Until a fuse opens* is swept like any shared short: dead and through every resistance that
  matters, the giving side full and at its least resistance with the engine running, the other half
  empty, either way round, isolators open. The empty batteries take what their internal resistance
  lets them, as in the first minutes, not what they accept in the end.
- A wire behind fuses of its own twig carries what goes through those fuses, either way: the second
  proof has judged it at every current.
"""

from collections.abc import Mapping
from itertools import permutations

from msgspec.structs import replace

from domain.build.records import Build
from domain.electrical import sources
from domain.electrical.protection.circumstances import supplies
from domain.electrical.protection.cut_network import CutNetwork, Link, is_copy
from domain.electrical.protection.fault_cases import Case, Place, Supply, isolators_of

Sides = tuple[frozenset[str], ...]


def sides(net: CutNetwork) -> Sides:
    """What isolators part: nodes of the plus side's core, wherever a source is among them."""
    at: dict[str, list[str]] = {}
    for edge in net.positive.edges:
        if not (isinstance(edge, Link) and edge.isolator):
            at.setdefault(edge.a, []).append(edge.b)
            at.setdefault(edge.b, []).append(edge.a)
    found: list[frozenset[str]] = []
    for source in net.sources:
        if not any(source.positive in side for side in found):
            seen, waiting = {source.positive}, [source.positive]
            while waiting:
                for other in at.get(waiting.pop(), ()):
                    if other not in seen:
                        seen.add(other)
                        waiting.append(other)
            found.append(frozenset(seen))
    return tuple(found)


def rounds(
    build: Build, net: CutNetwork, ohm: Mapping[str, float], bare: frozenset[str]
) -> tuple[tuple[Case, tuple[Place, ...]], ...]:
    """Every pair of sides, each as the full one: its case, and where the two may touch.

    ``ohm`` are resistances of cold wire, by edge; ``bare`` nodes on which nothing was promised.
    """
    parted = sides(net)
    found = []
    for full, empty in permutations(parted, 2):
        title = "one side full and charged, the other half empty, isolator open"
        given = full_and_empty(build, net, empty)
        case = Case(title, given, ohm, frozenset(isolators_of(net)))
        places = tuple(
            Place(f"between {a} and {b}", ((a, 1.0),), b)
            for a in sorted(full - bare)
            for b in sorted(empty - bare)
            if not (is_copy(a) or is_copy(b))  # as in the first of wires side by side
        )
        found.append((case, places))
    return tuple(found)


def full_and_empty(build: Build, net: CutNetwork, empty: frozenset[str]) -> dict[str, Supply]:
    """The sources at their strongest, by id, but for half-empty batteries on one side."""
    taking = {s.id for s in net.sources if s.positive in empty}
    given = supplies(build, weak=False, alternators=True)
    for battery in build.batteries:
        if battery.id in taking:
            supply = given[battery.id]
            volts = sources.rest_voltage_v(battery.chemistry, sources.HALF)
            given[battery.id] = replace(supply, volts=volts, charging_ohm=supply.ohm)
    return given
