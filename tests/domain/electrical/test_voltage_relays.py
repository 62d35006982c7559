"""Relays that join by voltage: joined or parted in each state, by the solved voltage."""

from random import Random

import pytest

from domain.build import actions, kits, removal
from domain.build.choices import Isolates
from domain.build.edits import Scalar
from domain.build.records import Build
from domain.build.start import start_build
from domain.electrical.drive import simulate
from domain.electrical.network import nodal, states, voltage_relays
from domain.electrical.network.states import TITLES, Wired
from domain.electrical.network.voltage_relays import part_v
from domain.electrical.sizing.size_and_solve import size_wires
from domain.evaluate import evaluate, make_plan
from domain.work_order import work_order
from tests.domain.electrical.small import changed, found

RELAY = "d2"


def car(join_v: float | None = 13.3, amplifier_w: float = 300.0) -> Build:
    build = start_build()
    build = actions.applied(build, actions.add(build, "amplifiers", channel_w=amplifier_w))
    build = actions.applied(build, kits.battery_behind(build, Isolates.RELAY))
    assert build.blocks[-1].id == RELAY
    return changed(build, ("blocks", RELAY, "join_v", join_v))


def test_without_a_voltage_it_joins_while_the_engine_runs() -> None:
    sheet = evaluate(car(None))
    assert {state.parted for state in sheet.states} == {None}


def test_it_joins_with_the_engine_and_parts_without() -> None:
    # a regulator at 14.2 V is above 13.3 V; a battery of 12.7 V at rest below 12.8 V
    sheet = evaluate(car(amplifier_w=50.0))
    for state in sheet.states:
        assert state.parted == ((RELAY,) if state.id.startswith("off") else ())
    assert not [f for f in sheet.findings if f.code.startswith("relay-")]
    # at full output an alternator at idle is not enough: it sinks below 12.8 V, and parts
    idle = evaluate(car(amplifier_w=800.0)).state("idle-tone")
    assert idle is not None
    assert idle.parted == (RELAY,)


def test_an_alternator_at_a_low_voltage_never_joins_it() -> None:
    low = changed(car(), ("alternators", "g1", "regulated_v", 12.9))
    (finding,) = found(low, "relay-never")
    assert (finding.id, finding.field) == (RELAY, "join_v")
    # so nothing flows to the battery behind it
    cruise = evaluate(low).state("cruise-programme")
    assert cruise is not None
    assert cruise.parted == (RELAY,)
    link = next(run.id for run in low.runs if run.target == RELAY)
    assert cruise.current_a[link] == pytest.approx(0.0, abs=0.01)


def test_a_relay_that_parts_at_too_low_a_voltage_stays_joined() -> None:
    build = changed(car(), ("blocks", RELAY, "part_v", 11.5))
    (finding,) = found(build, "relay-stays")
    assert finding.field == "part_v"


def test_its_step_of_the_work_order() -> None:
    steps = [step.what for step in work_order(car(), evaluate(car()))]
    (step,) = [text for text in steps if "at its input it joins" in text]
    # 5 s: typical, from memory
    assert "13.30 V" in step
    assert "some 5 s" in step


@pytest.mark.parametrize("seed", range(6))
def test_against_a_relay_stepped_through_time(seed: int) -> None:
    # second method: hysteresis as a relay has it, one look after the other, from the start of the
    # engine with the relay parted, then with the load of the state, then with the engine off
    random = Random(seed)
    build = changed(
        car(random.uniform(12.6, 14.0), random.choice([50.0, 800.0])),
        ("blocks", RELAY, "part_v", random.uniform(12.0, 13.2)),
        ("alternators", "g1", "regulated_v", random.choice([12.8, 13.6, 14.4])),
        ("alternators", "g1", "rated_a", random.choice([60.0, 160.0])),
    )
    wired = make_plan(build).solved.wired
    relay = next(block for block in build.blocks if block.id == RELAY)
    assert relay.join_v is not None
    for state in TITLES:
        engine = "idle" if state.startswith("idle") else "cruise"
        joined = False
        for here in (f"{engine}-programme", state):
            for _ in range(6):
                volts = seen(wired, here, joined)
                joined = volts >= part_v(relay) if joined else volts >= relay.join_v
                if here.startswith("off") and not joined:
                    break
        result = evaluate(build).state(state)
        assert result is not None
        chatters = not joined and seen(wired, state, False) >= relay.join_v
        if not chatters:
            assert (RELAY not in (result.parted or ())) is joined, state


def seen(wired: Wired, state: str, joined: bool) -> float:
    parted = frozenset() if joined else frozenset({RELAY})
    circuit, siemens = states.state_circuit(wired, state, parted=parted)
    solved = nodal.solve(circuit, siemens, [15.0] * len(circuit.nodes))
    return solved.volts[circuit.nodes.index(f"{RELAY}_in")]


def test_a_relay_that_would_part_where_it_joins_is_told() -> None:
    # by definition: what parts above its joining voltage has no voltage at which it stays
    build = changed(car(), ("blocks", RELAY, "part_v", 14.1))
    (finding,) = found(build, "relay-part-high")
    assert finding.field == "part_v"


def test_the_second_of_two_relays_in_a_row_joins_behind_the_first() -> None:
    # 14.2 V reach the third battery once both have joined; none falls below 12.8 V
    build = car(amplifier_w=50.0)
    third = actions.applied(build, kits.battery_behind(build, Isolates.RELAY))
    last, second = third.blocks[-1].id, build.batteries[-1].id
    feed = next(run.id for run in third.runs if run.target == last)
    third = changed(third, ("runs", feed, "source", second), ("blocks", last, "join_v", 13.3))
    cruise = evaluate(third).state("cruise-programme")
    assert cruise is not None
    assert cruise.parted == ()
    assert not found(third, "relay-chatters")


def test_a_relay_that_stays_joined_helps_to_start() -> None:
    # as through a switch: the same contacts are closed
    build = changed(car(), ("blocks", RELAY, "part_v", 11.5))
    relay = next(r for r in evaluate(build).isolators if r.id == RELAY)
    switch = changed(
        build, ("blocks", RELAY, "isolates", "switch"), ("blocks", RELAY, "join_v", None)
    )
    as_switch = next(r for r in evaluate(switch).isolators if r.id == RELAY)
    assert relay.starting_a == pytest.approx(as_switch.starting_a, rel=1e-6)
    assert relay.starting_a > 20.0
    parts = next(r for r in evaluate(car(amplifier_w=50.0)).isolators if r.id == RELAY)
    assert parts.starting_a == 0.0


def legs(build: Build, *legs: tuple[str, float]) -> Build:
    """The build with these legs in silence: engine and seconds."""
    build = actions.applied(build, *(removal.remove(build, "legs", leg.id) for leg in build.legs))
    for engine, seconds in legs:
        each: dict[str, Scalar] = {"engine": engine, "duration_s": seconds, "playing": "silent"}
        build = actions.applied(build, actions.add(build, "legs", **each))
    return build


def driven(build: Build) -> list[float]:
    """What the battery behind the relay gives in each step of ten seconds [A]."""
    result = simulate(size_wires(build)[0])
    return [point.given_a["b2"] for point in result.points]


def test_on_a_drive_it_joins_and_parts_after_its_times() -> None:
    # by hand: 14.2 V are above 13.3 V from the start; it joins after 25 s, so that the battery
    # takes nothing at 0, 10 and 20 s and is charged from 30 s on. Engine off at 60 s: the AGM at
    # 12.7 V is below 12.8 V, it parts 15 s later: at 80 s nothing flows
    timed = (("blocks", RELAY, "join_s", 25.0), ("blocks", RELAY, "part_s", 15.0))
    build = changed(legs(car(amplifier_w=0.0), ("cruise", 60.0), ("off", 60.0)), *timed)
    given = driven(build)
    assert given[:3] == pytest.approx([0.0] * 3, abs=1e-3)
    assert all(amperes < -1.0 for amperes in given[3:6])
    assert given[8:] == pytest.approx([0.0] * 4, abs=1e-3)
    # what came in: that current for 35 s, to a twentieth (it falls while the battery fills)
    result = simulate(size_wires(build)[0])
    assert result.charged_ah["b2"] == pytest.approx(-given[3] * 35 / 3600, rel=0.05)
    # a relay without a voltage of its own is joined from the start of the engine
    ignition = driven(changed(build, ("blocks", RELAY, "join_v", None)))
    assert ignition[0] == pytest.approx(given[3], rel=0.05)


def test_on_a_drive_one_whose_voltage_is_never_reached_stays_parted() -> None:
    build = legs(car(14.6, amplifier_w=0.0), ("cruise", 120.0), ("idle", 60.0))
    assert driven(build) == pytest.approx([0.0] * 18, abs=1e-3)


def test_one_that_joins_and_parts_at_once_does_not_stop_the_drive() -> None:
    # no time at all to join or part, and less than a step between: the drive goes on
    build = legs(car(13.3, amplifier_w=800.0), ("cruise", 60.0), ("off", 60.0))
    build = changed(
        *(build, ("blocks", RELAY, "part_v", 13.3)),
        *(("blocks", RELAY, "join_s", 0.0), ("blocks", RELAY, "part_s", 0.0)),
        *(("legs", build.legs[0].id, "playing", "full tone"),),
        *(("alternators", "g1", "rated_a", 60.0),),
    )
    result = simulate(size_wires(build)[0])
    assert len(result.points) == 12
    for id in ("b1", "b2"):
        kept = result.charged_ah[id] - result.discharged_ah[id] - result.lost_ah[id]
        assert kept == pytest.approx(result.stored_ah[id], abs=1e-9)


def test_wires_bear_what_flows_before_it_joins() -> None:
    # by hand: a bank feeds the block alone until the relay joins, though it stays joined with the
    # engine off (it parts at 10.5 V), where a strong starter battery gives the most: each of four
    # alike leads carries a quarter of the full power
    build = start_build()
    build = actions.applied(build, actions.add(build, "amplifiers", channel_w=2000.0))
    build = actions.applied(build, kits.bank_in_the_boot(build))
    relay = build.blocks[-1].id
    build = changed(build, ("blocks", relay, "join_v", 13.3), ("blocks", relay, "part_v", 10.5))
    build = changed(build, *(("batteries", b.id, "chemistry", "AGM") for b in build.batteries))
    build = changed(build, ("batteries", "b1", "resistance_ohm", 0.0005))
    sheet = evaluate(build)
    assert not [state.id for state in sheet.states if state.parted]
    off = sheet.state("off-tone")
    assert off is not None
    assert off.battery_a["b2"] < 0.9 * sheet.supply.design_a / 4
    quarter = sheet.supply.design_a / 4
    for run in sheet.runs:
        if run.name.endswith("lead"):
            assert run.design_a >= 0.99 * quarter
            assert run.ampacity_a >= run.design_a
            assert run.fuse_a is not None
            assert run.fuse_a >= run.design_a


def chain(count: int, seed: int) -> Build:
    """Relays by voltage, each to a further battery, from one of those that are there already."""
    random = Random(seed)
    build = car(None, random.choice([300.0, 600.0, 900.0]))
    for _ in range(count - 1):
        build = actions.applied(build, kits.battery_behind(build, Isolates.RELAY))
        feed = next(r.id for r in build.runs if r.target == build.blocks[-1].id)
        source = random.choice(build.batteries[:-1]).id
        build = changed(build, ("runs", feed, "source", source))
    build = changed(
        build,
        ("runs", "r4", "source", random.choice(build.batteries).id),
        ("alternators", "g1", "rated_a", random.choice([120.0, 200.0])),
        *(
            ("batteries", battery.id, "capacity_ah", random.choice([40.0, 100.0, 200.0]))
            for battery in build.batteries[1:]
        ),
    )
    relays = [block.id for block in build.blocks[1:]]
    return changed(build, *(("blocks", id, "join_v", 13.3) for id in relays))


@pytest.mark.parametrize(("count", "seed"), [(2, 3), (2, 7), (3, 0), (3, 4), (3, 6)])
def test_no_mix_of_joined_and_parted_sends_more_than_was_sized_for(count: int, seed: int) -> None:
    # brute force over all 2^n sets of parted relays, each solved by the nodal solver alone with the
    # resistances of the plan: what any of them sends through a run, its wire and its fuse carry
    build = chain(count, seed)
    plan = make_plan(build)
    relays = [block.id for block in build.blocks if block.join_v is not None]
    assert len(relays) == count
    for state in (state for state in TITLES if not state.startswith("off")):
        for bits in range(2**count):
            apart = frozenset(id for place, id in enumerate(relays) if bits >> place & 1)
            circuit, siemens = states.state_circuit(plan.solved.wired, state, parted=apart)
            solved = nodal.solve(circuit, siemens, [15.0] * len(circuit.nodes))
            assert solved.converged
            for (name, _, _), amperes in zip(circuit.branches, solved.branch_a, strict=True):
                run = next((r for r in build.runs if r.id == name), None)
                result = plan.sheet.run(name) if run and not run.existing else None
                if result is not None:
                    least = min(result.ampacity_a, result.fuse_a or result.ampacity_a)
                    assert abs(amperes) <= least * (1 + 1e-6), (state, apart, name)


@pytest.mark.parametrize(("count", "ways"), [(0, 1), (1, 2), (2, 4), (3, 8), (4, 10), (9, 20)])
def test_ways_grow_with_the_relays_and_not_with_their_power(count: int, ways: int) -> None:
    # by hand: 2^n up to three, beyond that none, all, each and all but each: 2 n + 2
    found = voltage_relays.ways([f"d{n}" for n in range(count)])
    assert len(found) == len(set(found)) == ways


def test_where_not_every_mix_is_looked_at_it_is_said() -> None:
    assert not found(chain(3, 1), "relays-many")
    (finding,) = found(chain(4, 1), "relays-many")
    assert "4 relays" in finding.what
