"""The currents of a short against Kirchhoff's laws over the whole uncut network.

Second method: numpy on every edge, twigs and the short itself included, nothing worked out before
or taken as a straight line; how batteries and alternators work is found by trying every way.
"""

from collections.abc import Iterator
from itertools import product
from math import inf
from random import Random

import numpy as np
import pytest

from domain.electrical.network.wiring import STAR
from domain.electrical.protection.cut_network import CutNetwork
from domain.electrical.protection.fault_cases import Case, FaultNetwork, Place
from tests.reference.electrical.test_shared_shorts_against_spice import fed_from_several, swept

HAIR = 1e-9
FAULT, HERE = "the short", "where it is"
Edges = list[tuple[str, str, str, float]]
"""Name, both nodes and resistance [ohm]."""


def ends(net: CutNetwork, place: Place) -> tuple[str, str]:
    """The two nodes that a short joins."""
    if place.name.startswith("inside "):
        load = place.name.removeprefix("inside ")
        return f"{load}_pos", f"{load}_neg"
    if place.split:
        return HERE, place.back
    if place.through:
        outermost = place.through[0][0]
        return next(t.node for t in net.positive.twigs if t.edge.id == outermost), place.back
    return place.at[0][0], place.back


def edges_of(
    net: CutNetwork, case: Case, place: Place, ohm: float, opened: frozenset[str]
) -> Edges:
    """Everything that joins two nodes, the wire that the short is in cut there."""
    every = [
        *(*net.positive.edges, *net.ground.edges),
        *(twig.edge for side in (net.positive, net.ground) for twig in side.twigs),
    ]
    found: Edges = []
    for edge in every:
        value = max(case.ohm[edge.id], 1e-7)
        if edge.id in case.opened or edge.id in opened:
            continue
        if place.split and place.split[0] == edge.id:
            share = place.split[1]
            found.append((f"{edge.id}<", edge.a, HERE, value * share))
            found.append((f"{edge.id}>", edge.b, HERE, value * (1 - share)))
        else:
            found.append((edge.id, edge.a, edge.b, value))
    found += [(f"load {n}", a, b, load) for n, (_, a, b, load) in enumerate(case.loads)]
    return [*found, (FAULT, *ends(net, place), ohm)]


def solved(net: CutNetwork, case: Case, edges: Edges) -> dict[str, float]:
    """Current of every edge, from its first node to its second [A]."""
    nodes = sorted({node for _, a, b, _ in edges for node in (a, b)} - {STAR})
    index = {node: number for number, node in enumerate(nodes)}
    supplies = [(s, case.supplies[s.id]) for s in net.sources if s.id in case.supplies]
    ways = [(0, 1) if supply.limit_a == inf else (0, 1, 2) for _, supply in supplies]
    for modes in product(*ways):
        a = np.diag(np.full(len(nodes), 1e-9))
        right = np.zeros(len(nodes))

        def join(one: str, other: str, siemens: float, a: np.ndarray = a) -> None:
            for p, q in ((one, other), (other, one)):
                if p != STAR:
                    a[index[p], index[p]] += siemens
                    if q != STAR:
                        a[index[p], index[q]] -= siemens

        for _, one, other, ohm in edges:
            join(one, other, 1 / ohm)
        for (source, supply), mode in zip(supplies, modes, strict=True):
            amperes = supply.limit_a if mode == 1 else 0.0
            if supply.limit_a == inf or mode == 0:
                ohm = supply.charging_ohm if mode else supply.ohm
                join(source.positive, source.negative, 1 / ohm)
                amperes = supply.volts / ohm
            right[index[source.positive]] += amperes
            right[index[source.negative]] -= amperes
        volts = dict(zip(nodes, np.linalg.solve(a, right), strict=True)) | {STAR: 0.0}
        fits = []
        for (source, supply), mode in zip(supplies, modes, strict=True):
            given = (supply.volts - volts[source.positive] + volts[source.negative]) / supply.ohm
            if supply.limit_a == inf:
                fits.append(given <= HAIR if mode else given >= -HAIR)
            else:
                low, high = ((0.0, supply.limit_a), (supply.limit_a, inf), (-inf, 0.0))[mode]
                fits.append(low - HAIR <= given <= high + HAIR)
        if all(fits):
            return {name: (volts[one] - volts[other]) / ohm for name, one, other, ohm in edges}
    raise AssertionError("the sources find no way to work")


def shorts(seed: int) -> Iterator[tuple[FaultNetwork, Place, float, frozenset[str]]]:
    """Shorts at every place of a plan with several batteries, some with a fuse open already."""
    random = Random(seed)
    sweep = swept(fed_from_several(random))
    core = [edge.id for edge in sweep.net.positive.edges if edge.id in sweep.fuses]
    for place in sweep.places:
        case = random.choice(sweep.cases)
        watched = frozenset((*sweep.fuses, *sweep.wires))
        faults = FaultNetwork(sweep.net, case, watched, sweep.matters_a)
        opened = frozenset(random.sample(core, random.choice([0, 0, 1])))
        yield faults, place, random.choice([0.002, 0.02, 0.1]), opened


def test_currents_of_a_short() -> None:
    split = through = 0
    for faults, place, ohm, opened in (short for seed in range(8) for short in shorts(seed)):
        seen = faults.solve(place, ohm, opened, faults.way_ohm(place))
        theirs = solved(
            faults.net, faults.case, edges_of(faults.net, faults.case, place, ohm, opened)
        )
        within = pytest.approx(theirs[FAULT], rel=1e-6, abs=1e-6)
        assert seen.fault_a == within, place
        for id, amperes in seen.edge_a.items():
            if place.split and place.split[0] == id:
                parts = theirs[f"{id}<"], theirs[f"{id}>"]
                assert seen.parts == pytest.approx(parts, rel=1e-6, abs=1e-5), place
                assert amperes == pytest.approx(max(parts, key=abs), rel=1e-6, abs=1e-5)
                split += 1
            else:
                assert amperes == pytest.approx(theirs[id], rel=1e-6, abs=1e-5), (place, id)
        for id, _ in place.through:
            assert abs(theirs[id]) == within, place
            through += 1
    assert split
    assert through


def test_edges_that_carry_more_than_matters() -> None:
    told_of = left_out = 0
    for faults, place, ohm, opened in (short for seed in range(8) for short in shorts(seed)):
        _, told = faults.beyond(place, ohm, opened, faults.way_ohm(place))
        net = faults.net
        theirs = solved(net, faults.case, edges_of(net, faults.case, place, ohm, opened))
        core = {edge.id for side in (net.positive, net.ground) for edge in side.edges}
        for id, amperes in theirs.items():
            least = faults.least_a.get(id.rstrip("<>"))
            if least is None or id.rstrip("<>") not in core:
                assert id not in told
            elif abs(amperes) > least * (1 + 1e-6):
                assert told[id] == pytest.approx(abs(amperes), rel=1e-6, abs=1e-5), (place, id)
                told_of += 1
            elif abs(amperes) < least * (1 - 1e-6):
                assert id not in told, (place, id)
                left_out += 1
    assert told_of
    assert left_out
