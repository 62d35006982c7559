"""Where a dead short hurts a wire it is a stop, whatever else is found of it.

Plans that a brute-force simulation of shorts (``short_simulator``, which shares no formula with
the proofs) found told too mildly, or not at all.
"""

from random import Random

import pytest

from domain.build import actions
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.findings import Level
from tests.domain.electrical.protection.shaped_builds import shaped
from tests.domain.electrical.protection.short_simulator import Simulation, network, shorts
from tests.domain.electrical.small import changed

OVER = 1.01


def two_mains(watts: float, family: str | None) -> Build:
    """Two blocks, each on a fused main run of its own from the battery, an amplifier behind each.

    Their currents come back through the battery ground that the vehicle has, which is kept.
    """
    build = start_build()
    for table in ("amplifiers", "amplifiers", "blocks"):
        build = actions.applied(build, actions.add(build, table))
    second = build.blocks[-1].id
    main = next(run for run in build.runs if (run.source, run.target) == ("b1", "d1"))
    branch = next(run for run in build.runs if run.target == "a2")
    build = build.but(runs=(*build.runs, main.but(id="r90", target=second)))
    return changed(
        build,
        ("runs", branch.id, "source", second),
        *(("amplifiers", a.id, "channel_w", watts / a.channels) for a in build.amplifiers),
        *(("runs", id, "fuse_family", family) for id in (main.id, "r90")),
    )


def hurt_runs(build: Build, rounds: int) -> set[str]:
    """The runs that some of fifty shorts in each round hurt, by simulation."""
    net = network(build, evaluate(build, swept=True))
    return {
        piece.run
        for seed in range(rounds)
        for short in shorts(net, build, Random(seed), 50)
        for piece, share in zip(net.pieces, Simulation(net, short).run().taken, strict=True)
        if share > OVER
    }


@pytest.mark.parametrize(
    ("watts", "family", "told"),
    [(700, "ANL", False), (800, "ANL", True), (750, "class T", False), (800, "class T", True)],
)
def test_a_ground_bears_a_short_on_one_way_beside_full_output_on_another(
    watts: float, family: str, told: bool
) -> None:
    build = two_mains(watts, family)
    assert ("r3" in hurt_runs(build, 4 if told else 2)) is told
    found = [f for f in evaluate(build).findings if f.id == "r3" and f.level is not Level.NOTE]
    assert bool(found) is told
    assert all("of what else plays" in f.why for f in found)


def test_fuses_in_series_open_a_short_in_an_amplifier_whichever_is_quicker() -> None:
    """A breaker ahead is slower than the branch's fuse, which is larger: nothing is hurt."""
    build = two_mains(900, "breaker")
    grounds = {run.id for run in build.runs if run.source in ("a1", "a2")}
    assert not grounds & hurt_runs(build, 2)
    found = [f for f in evaluate(build).findings if f.level is not Level.NOTE]
    assert not grounds & {f.id for f in found}


@pytest.mark.parametrize(
    ("seed", "pins", "run", "code"),
    [
        (189, False, "r7", "fuse-slow"),  # a breaker of an amplifier whose ground is thin
        (449, True, "r10", "fuse-over-wire"),  # an overload by little, ahead of its own fuse
    ],
)
def test_a_wire_that_a_dead_short_hurts_is_a_stop(
    seed: int, pins: bool, run: str, code: str
) -> None:
    build = shaped(Random(seed), pins, None)
    sheet = evaluate(build, swept=True)
    net = network(build, sheet)
    taken = [
        share
        for short in shorts(net, build, Random(seed), 50)
        if short.ohm == 0
        for piece, share in zip(net.pieces, Simulation(net, short).run().taken, strict=True)
        if piece.run == run
    ]
    assert max(taken) > OVER
    found = {(f.id, f.code): f.level for f in sheet.findings}
    assert found[run, code] is Level.STOP


def test_a_ground_bears_a_short_beside_full_output() -> None:
    """A short behind the alternator's fuse and all amplifiers come back through one ground."""
    build = shaped(Random(243), True, None)
    sheet = evaluate(build, swept=True)
    net = network(build, sheet)
    playing = [s for s in shorts(net, build, Random(243), 50) if min(s.draws.values()) > 1]
    assert playing
    for short in playing:
        taken = Simulation(net, short).run().taken
        for piece, share in zip(net.pieces, taken, strict=True):
            if piece.run == "r3":
                assert share <= OVER, short.says(net)


def test_a_current_that_a_fuse_holds_for_good_hurts_no_wire() -> None:
    """A fuse of the ANL kind need not open below twice its rating."""
    build = shaped(Random(849), True, None)
    sheet = evaluate(build, swept=True)
    wires = [f for f in sheet.findings if f.code != "amplifier-place"]  # a warm trunk
    assert not [f for f in wires if f.level is not Level.NOTE]
    net = network(build, sheet)
    for short in shorts(net, build, Random(849), 50):
        taken = Simulation(net, short).run().taken
        for piece, share in zip(net.pieces, taken, strict=True):
            if piece.run == "r4":
                assert share <= OVER, short.says(net)
