"""Where a dead short hurts a wire it is a stop, whatever else is found of it.

Plans that a brute-force simulation of shorts (``short_simulator``, which shares no formula with
the proofs) found told too mildly, or not at all.
"""

from random import Random

import pytest

from domain.evaluate import evaluate
from domain.findings import Level
from tests.domain.electrical.protection.shaped_builds import shaped
from tests.domain.electrical.protection.short_simulator import Simulation, network, shorts

OVER = 1.01


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
    assert not [f for f in sheet.findings if f.level is not Level.NOTE]
    net = network(build, sheet)
    for short in shorts(net, build, Random(849), 50):
        taken = Simulation(net, short).run().taken
        for piece, share in zip(net.pieces, taken, strict=True):
            if piece.run == "r4":
                assert share <= OVER, short.says(net)
