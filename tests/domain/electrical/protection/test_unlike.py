"""Shorts between the plus of both sides of an isolator: currents, what they hurt, what lasts."""

from math import inf
from random import Random

import numpy as np
import pytest
from scipy.optimize import linprog

from domain.build import actions, removal
from domain.build.records import Build
from domain.electrical import sources
from domain.electrical.protection import unlike
from domain.electrical.protection.coordination import wire
from domain.electrical.protection.cut_network import FuseEdge, Link, Segment
from domain.electrical.protection.fault_cases import FaultNetwork
from domain.electrical.protection.shared_shorts import Stood, Sweep
from domain.electrical.sizing.size_and_solve import size_and_solve
from domain.evaluate import evaluate
from tests.domain.electrical.protection.sound_builds import sound
from tests.domain.electrical.protection.test_faults_by_kirchhoff import edges_of, solved
from tests.domain.electrical.small import Change, changed
from tests.domain.electrical.test_planned_from_nothing import van_with_an_isolator
from tests.reference.electrical.test_shared_shorts_against_spice import swept

ISOLATOR = "d2"


def van(*changes: Change) -> Build:
    build = van_with_an_isolator("AGM", 100.0)
    return changed(build, ("blocks", ISOLATOR, "isolates", "relay"), *changes)


def touching(sweep: Sweep, full: str) -> FaultNetwork:
    """The network of the round in which this battery is on the full side."""
    case = next(
        case
        for case, places in sweep.more
        if case.supplies[full].charging_ohm != case.supplies[full].ohm
    )
    return FaultNetwork(sweep.net, case, frozenset((*sweep.fuses, *sweep.wires)))


def test_the_two_sides_are_found_and_only_where_something_parts_them() -> None:
    # by definition: the relay parts b1 and its alternator from b2 and the amplifiers' block
    parted = unlike.sides(swept(van()).net)
    assert [sorted(side & {"b1_pos", "g1_pos", "b2_pos", "d1"}) for side in parted] == [
        ["b1_pos", "g1_pos"],
        ["b2_pos"],
    ]
    assert swept(sound(Random(0))).more == () or len(parted) == 2


def test_a_dead_short_past_the_isolator_by_ohm_s_law() -> None:
    # by hand, no alternator: E1 of the full battery less E2 of the half-empty one over all that is
    # in the one loop: both batteries, both links with their fuses, both grounds
    build = van()
    build = actions.applied(build, removal.remove(build, "alternators", "g1"))
    sweep = swept(build)
    faults = touching(sweep, "b1")
    place = next(
        p for _, places in sweep.more for p in places if p.name == "between d2_in and d2_out"
    )
    seen = faults.solve(place, 0.0, frozenset(), faults.way_ohm(place))
    full, empty = build.batteries
    volts = sources.rest_voltage_v(full.chemistry, 1.0) - sources.rest_voltage_v(
        empty.chemistry, 0.5
    )
    net = sweep.net
    loop = [e for e in net.positive.edges if not isinstance(e, Link)] + list(net.ground.edges)
    ohm = sum(faults.case.ohm[e.id] for e in loop)
    ohm += sources.spread(full)[0] + sources.spread(empty)[0]
    assert volts > 0.4
    assert seen.fault_a == pytest.approx(volts / ohm, rel=1e-6)
    assert seen.fault_a > 10


@pytest.mark.parametrize("full", ["b1", "b2"])
def test_currents_against_kirchhoff_over_the_whole_network(full: str) -> None:
    # second method: numpy on every edge, every way in which the sources may work tried
    sweep = swept(van())
    faults = touching(sweep, full)
    places = next(p for c, p in sweep.more if c is faults.case)
    assert len(places) >= 4
    fed = 0
    for place in places:
        seen = faults.solve(place, 0.002, frozenset(), faults.way_ohm(place))
        theirs = solved(
            sweep.net, faults.case, edges_of(sweep.net, faults.case, place, 0.002, frozenset())
        )
        if seen.fault_a == 0:  # the other side is higher: that is the other round's
            assert theirs["the short"] <= 1e-6
            continue
        fed += 1
        assert seen.fault_a == pytest.approx(theirs["the short"], rel=1e-5)
        for id, amperes in seen.edge_a.items():
            assert amperes == pytest.approx(theirs[id], rel=1e-5, abs=1e-3)
    assert fed if full == "b1" else True


def test_it_tells_where_fuses_are_far_too_large() -> None:
    # the other way round: by hand, AWG 16 of 1.31 mm2 stands k S = 100 x 1.31, squared 17 kA2s;
    # a strip of 200 A need not open at all below 270 A, where 17 kA2s are gone in 0.24 s
    thin: list[Change] = [("runs", run, "gauge", "AWG 16") for run in ("r5", "r7")]
    large: list[Change] = [("runs", run, "fuse_a", 200.0) for run in ("r5", "r7")]
    short: list[Change] = [("runs", run, "length_m", 0.6) for run in ("r5", "r7")]
    build = van(*thin, *large, *short)
    solved_again, sweep = size_and_solve(build), swept(build)
    wires = {
        s.id: Stood.of(wire(solved_again.items[s.run], solved_again.sized.gauge[s.run]))
        for s in sweep.net.segments
        if s.run in ("r5", "r7") and s.length_m > 0.2
    }
    only = Sweep(sweep.net, (), sweep.fuses, wires, (), sweep.more)
    hurt = only.run()
    assert {each.segment.partition(".")[0] for each in hurt.values()} == {"r5", "r7"}
    assert all(each.place.startswith("between ") for each in hurt.values())


def greatest_through(sweep: Sweep, segment: Segment, u: str, v: str, full: frozenset[str]) -> float:
    """The most that flows for good through a segment, from full to empty batteries past u and v.

    By linear programming: every edge within its capacity, Kirchhoff's current law at every node.
    """
    edges = [*sweep.net.positive.edges]
    ends = [(e.a, e.b) for e in edges] + [(u, v)]
    bounds: list[tuple[float, float]] = []
    for e in edges:
        most = 1e4
        if isinstance(e, FuseEdge):
            most = sweep.fuses[e.id].rating_a
        elif isinstance(e, Link) and e.isolator:
            most = min(e.capacity_a, most) if e.one_way else 0.0  # a relay is open
        bounds.append((0.0 if isinstance(e, Link) and e.one_way else -most, most))
    bounds.append((0.0, 1e4))
    nodes = sorted({n for pair in ends for n in pair})
    for source in sweep.net.sources:
        here = source.positive in full
        ends.append(("", source.positive))
        most = min(source.output_a, 1e4)
        bounds.append((0.0, most) if here else (-1e4 if source.output_a == inf else 0.0, 0.0))
    balance = np.zeros((len(nodes), len(ends)))
    for n, (a, b) in enumerate(ends):
        if a:
            balance[nodes.index(a), n] -= 1
        balance[nodes.index(b), n] += 1
    at = next(n for n, e in enumerate(edges) if e.id == segment.id)
    found = []
    for sign in (1.0, -1.0):
        cost = np.zeros(len(ends))
        cost[at] = -sign
        answer = linprog(cost, A_eq=balance, b_eq=np.zeros(len(nodes)), bounds=bounds)
        assert answer.status == 0
        found.append(-answer.fun)
    return float(max(found))


def test_for_good_no_more_flows_than_the_first_proof_has_put_into_the_wire() -> None:
    # second method: linear programming over whatever may flow from the full side to the empty one
    looked_at = 0
    for seed in range(60):
        build = sound(Random(seed))
        sweep = swept(build)
        parted = unlike.sides(sweep.net)
        if len(parted) != 2 or len(build.batteries) < 2:
            continue
        lasting = {s.id: s.lasting_a for s in evaluate(build).segments}
        random = Random(seed)
        for full, empty in (parted, parted[::-1]):
            for edge in sweep.net.positive.edges:
                if isinstance(edge, Segment) and lasting.get(edge.id) is not None:
                    u, v = random.choice(sorted(full)), random.choice(sorted(empty))
                    most = greatest_through(sweep, edge, u, v, full)
                    assert most <= (lasting[edge.id] or 0.0) * (1 + 1e-6), (seed, edge.id, u, v)
                    looked_at += 1
        if looked_at > 20:
            break
    assert looked_at > 20
