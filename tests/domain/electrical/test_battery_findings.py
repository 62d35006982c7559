"""Charge voltage, mixed chemistries, hot places, gas, warm posts and impossible strands: each with
a build that has the fault and one that has not."""

import pytest

from domain.build import actions, run_ends
from domain.build.records import Build
from domain.evaluate import evaluate
from domain.findings import Level
from tests.domain.electrical.small import Change, changed, found, small_build


def joined(chemistry: str) -> Build:
    """The small build with a second battery of this chemistry on a plain link."""
    build = small_build()
    return actions.applied(build, actions.add(build, "batteries", chemistry=chemistry))


LITHIUM: Change = ("batteries", "b1", "chemistry", "LiFePO4")
UNLIMITED: Change = ("amplifiers", "a1", "onboard_fuse_a", None)
INSIDE: Change = ("batteries", "b1", "zone", "z2")


@pytest.mark.parametrize(
    ("code", "wrong", "right"),
    [
        # charge range 13.2 to 14.4 V at 12 V (battery handbook, read)
        (
            "no-charge",
            (("alternators", "g1", "regulated_v", 12.2),),
            (("alternators", "g1", "regulated_v", 13.6),),
        ),
        # 4 x 3.65 V = 14.6 V (pack makers' sheets)
        (
            "charge-high",
            (
                LITHIUM,
                ("batteries", "b1", "zone", "z2"),
                ("alternators", "g1", "regulated_v", 15.6),
            ),
            (
                LITHIUM,
                ("batteries", "b1", "zone", "z2"),
                ("alternators", "g1", "regulated_v", 14.4),
            ),
        ),
        # use to 60 C, charging to 45 C (pack makers' sheets)
        ("battery-hot", (LITHIUM,), (LITHIUM, INSIDE)),
        # hydrogen, IEC 62485-2
        (
            "battery-gas",
            (("batteries", "b1", "chemistry", "flooded"), INSIDE),
            (("batteries", "b1", "chemistry", "flooded"),),
        ),
        # by hand: 4000 strands of 0.25 mm are 196 mm2, AWG 8 has 8.37 mm2; 168 of them 8.25 mm2
        (
            "wire-strands",
            (
                ("runs", "r5", "gauge", "AWG 8"),
                ("runs", "r5", "strands", 4000),
                ("runs", "r5", "strand_m", 0.00025),
            ),
            (
                ("runs", "r5", "gauge", "AWG 8"),
                ("runs", "r5", "strands", 168),
                ("runs", "r5", "strand_m", 0.00025),
            ),
        ),
        # 90 C terminals (NFPA 70 110.14(C), from memory); 105 C wire at its ampacity is warmer
        (
            "terminal-heat",
            (("runs", "r5", "gauge", "AWG 10"), ("runs", "r5", "cover", "open air")),
            (("runs", "r5", "gauge", "AWG 4"),),
        ),
    ],
)
def test_told_where_it_is_wrong_and_only_there(
    code: str, wrong: tuple[Change, ...], right: tuple[Change, ...]
) -> None:
    (finding,) = found(changed(small_build(), *wrong), code)[:1]
    assert finding.level in (Level.FIX, Level.NOTE)
    assert finding.source
    assert not found(changed(small_build(), *right), code)


def test_lithium_and_lead_on_one_wire() -> None:
    # common practice: an isolator made for the pair, or a charger, between them
    assert [f.id for f in found(joined("LiFePO4"), "mixed-chemistry")] == ["b2"]
    assert not found(joined("AGM"), "mixed-chemistry")
    build = joined("LiFePO4")
    link = next(run.id for run in build.runs if run.far_fused)
    build = actions.applied(build, actions.add(build, "blocks", kind="isolator"))
    isolator = build.blocks[-1].id
    build = changed(build, ("runs", link, "target", isolator))
    build = actions.applied(build, run_ends.add_run(build, isolator, "b2"))
    assert not found(build, "mixed-chemistry")


def test_impossible_strands_carry_no_more_than_their_gauge() -> None:
    # 33 CFR 183.425: the gauge's ampacity is the most that a wire of that gauge has
    build = changed(small_build(), ("runs", "r5", "gauge", "AWG 8"))
    plain = evaluate(build).run("r5")
    counted = changed(build, ("runs", "r5", "strands", 4000), ("runs", "r5", "strand_m", 0.00025))
    wrong = evaluate(counted).run("r5")
    assert plain is not None
    assert wrong is not None
    assert wrong.ampacity_a == pytest.approx(plain.ampacity_a)


def test_a_wire_at_its_ampacity_is_never_passed_over() -> None:
    # by definition of ampacity a wire of 105 C that carries it is at 105 C, warmer than posts of
    # 90 C stand: told as warm up to there, and as too thin beyond; at no current is it not told
    openly = ("runs", "r5", "cover", "open air")
    build = changed(small_build(), ("runs", "r5", "gauge", "AWG 8"), openly, UNLIMITED)
    low, high = 50.0, 900.0
    for _ in range(24):
        watts = (low + high) / 2
        run = evaluate(changed(build, ("amplifiers", "a1", "channel_w", watts))).run("r5")
        assert run is not None
        low, high = (watts, high) if run.design_a < run.ampacity_a else (low, watts)
    for share in (0.99, 0.9999, 0.99995, 1.0, 1.00005, 1.0003, 1.01):
        loaded = changed(build, ("amplifiers", "a1", "channel_w", high * share))
        told = {
            f.code
            for code in ("terminal-heat", "wire-overloaded")
            for f in found(loaded, code)
            if f.id == "r5"
        }
        assert len(told) == 1, share


def test_a_wire_on_a_post_is_chosen_as_cool_as_the_post_stands() -> None:
    # by hand, from 90 C terminals (NFPA 70 110.14(C), from memory): the rise is as the square of
    # current over ampacity, 21 K at it in air of 84 C, of which 6 K are left to 90 C; so a wire
    # that carries a current for good needs sqrt(21 / 6) = 1.87 times that as its ampacity
    build = changed(
        small_build(),
        ("header", "", "programme", "tone"),
        ("header", "", "drop_limit_v", 6.0),
        ("zones", "z1", "ambient_c", 84.0),
        ("amplifiers", "a1", "channel_w", 600.0),
        ("amplifiers", "a1", "onboard_fuse_a", None),
    )
    run = evaluate(build).run("r4")
    assert run is not None
    assert run.ampacity_a >= 1.87 * run.programme_a
    assert not [f for f in found(build, "terminal-heat") if f.id == "r4"]
    assert run.gauge == "AWG 1/0"
    thin = changed(build, ("runs", "r4", "gauge", "AWG 4"))
    told = [f.level for f in found(thin, "terminal-heat") if f.id == "r4"]
    assert told == [Level.FIX]
