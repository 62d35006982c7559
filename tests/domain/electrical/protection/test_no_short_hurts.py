"""No plan without a STOP in which a short hurts a wire, by brute force (``short_simulator``).

What a plan says of a wire: a STOP, or a FIX where only shorts through some resistance hurt it, or
those on a piece that is too long ahead of its fuse, or has it at the wrong end (33 CFR 183.455 and
practice up to 72 in). The suite takes small plans; with ``FULL_COUNT`` in the environment it is 500
without a STOP, of every size, with fifty shorts each.
"""

import os
from math import log
from random import Random

import pytest

from domain.build.records import Build
from domain.evaluate import evaluate
from domain.findings import Level
from domain.sheet import Sheet
from tests.domain.electrical.protection.dangerous_plans import (
    LINK,
    alternator_on_block,
    bare_link,
    far_branch_fuse,
    two_feeds,
)
from tests.domain.electrical.protection.shaped_builds import shaped
from tests.domain.electrical.protection.short_simulator import (
    BODY,
    Network,
    Short,
    Simulation,
    network,
    shorts,
)
from tests.domain.electrical.small import changed, small_build

FULL = "FULL_COUNT" in os.environ
PLANS, SHORTS = (500, 50) if FULL else (8, 25)
OVER = 1.01
"""A wire is hurt when it takes this much of what it stands: steps are small, not nothing."""


def hurt(net: Network, build: Build, short: Short) -> list[str]:
    """The runs with a piece that a short hurts, but for what the vehicle's maker laid."""
    makers = {r.id for r in build.runs if r.existing and "g" in (r.source[:1], r.target[:1])}
    taken = Simulation(net, short).run().taken
    pieces = zip(net.pieces, taken, strict=True)
    return [piece.run for piece, share in pieces if share > OVER and piece.run not in makers]


def stopped(sheet: Sheet) -> bool:
    return any(finding.level is Level.STOP for finding in sheet.findings)


@pytest.mark.parametrize("pins", [False, True])
def test_no_short_hurts_a_wire_that_nothing_was_said_of(pins: bool) -> None:
    plans = 0
    for seed in range(100 * PLANS):
        build = shaped(Random(seed), pins, None if FULL else 1)
        if stopped(evaluate(build)):
            continue
        sheet = evaluate(build, swept=True)
        if stopped(sheet):
            continue
        told = {segment.run for segment in sheet.segments if segment.harm != "none"}
        far = {f.id for f in sheet.findings if f.code in ("fuse-far", "no-fuse")}
        net = network(build, sheet)
        for short in shorts(net, build, Random(seed), SHORTS):
            place = "" if short.piece is None else net.pieces[short.piece].run
            for run in hurt(net, build, short):
                assert short.ohm > 0 or place in far, (seed, run, short.says(net))
                assert {run, place} & told, (seed, run, short.says(net))
        plans += 1
        if plans == PLANS // 2:
            break
    assert plans == PLANS // 2


def found_hurt(build: Build, count: int = 60) -> set[str]:
    """Runs that some of many shorts hurt."""
    net = network(build, evaluate(build, swept=True))
    return {run for s in shorts(net, build, Random(1), count) for run in hurt(net, build, s)}


def test_shorts_hurt_where_plans_are_known_to_burn() -> None:
    # the other way round: a second method that finds nothing anywhere would prove nothing
    assert "r5" in found_hurt(far_branch_fuse())
    assert LINK in found_hurt(bare_link())
    assert "r5" in found_hurt(two_feeds())
    assert "r5" in found_hurt(alternator_on_block())
    assert not found_hurt(small_build())


def test_a_cable_that_is_all_short_pieces_bears_what_passes_through_it() -> None:
    # 0.55 m of a bank's cable: no piece of it is promised its own short, but a short elsewhere is
    # fed through it and its slow fuse
    build = shaped(Random(47))
    net = network(build, evaluate(build, swept=True))
    of_47 = list(shorts(net, build, Random(47), 50))
    assert not {run for short in of_47 for run in hurt(net, build, short)}


def test_a_dead_short_by_hand() -> None:
    # by hand: 12 V behind 5 mohm; 1 m of AWG 8 (8.366 mm2) at its 105 C, 30 C around it, so that it
    # carries 80 A: 17.241 x (1 + 0.00393 x 85) / 8.366 = 2.7494 mohm and 0.15 of its joint; a 60 A
    # blade of 0.08 / 60 = 1.3333 mohm on the post. 12 / 0.0092327 = 1299.7 A, 21.66 times its
    # rating: 0.1 x (6 / 21.66)^2 = 7.672 ms
    build = changed(
        small_build(),
        *(("zones", zone, "ambient_c", 30.0) for zone in ("z1", "z2", "z3")),
        ("runs", "r4", "gauge", "AWG 8"),
        ("runs", "r4", "slack_m", 0.0),
        ("runs", "r4", "length_m", 1.0),
        ("runs", "r4", "cover", "open air"),
        ("runs", "r4", "fuse_a", 60.0),
        ("runs", "r4", "fuse_family", "blade C (medium)"),
        ("runs", "r4", "fuse_distance_m", 0.0),
        ("runs", "r3", "gauge", "AWG 4/0"),
        ("runs", "r3", "length_m", 1e-6),
        ("grounds", "e1", "resistance_ohm", 0.0),
    )
    net = network(build, evaluate(build))
    number = next(n for n, piece in enumerate(net.pieces) if piece.run == "r4")
    assert net.pieces[number].carries_a == pytest.approx(80.0)
    net.plain.append(("b1-", BODY, 1e-7))
    short = Short(
        piece=number,
        share=1.0,
        amplifier="",
        ohm=0.0,
        volts={"b1": 12.0},
        inner_ohm={"b1": 0.005},
        takes_ohm={"b1": 0.05},
        outputs={"g1": 0.0},
        draws={"a1": 0.0},
        closed=(),
    )
    outcome = Simulation(net, short).run()
    assert outcome.first_a == pytest.approx(1299.7, rel=1e-3)
    assert [run for run, _ in outcome.opened] == ["r4"]
    assert outcome.opened[0][1] == pytest.approx(7.672e-3, rel=3e-3)
    # (1299.7 A)^2 x 7.672 ms = 12,960 A2s of (226 x 8.366)^2 ln(394.5 / 339.5) = 536,700 A2s
    kept = 1299.7**2 * 7.672e-3 / ((226 * 8.366) ** 2 * log((160 + 234.5) / (105 + 234.5)))
    assert outcome.taken[number] == pytest.approx(kept, rel=0.02)
