"""The bursts of an amplifier test beside the kick, on whole builds."""

import numpy as np
import pytest
from msgspec.structs import replace

from demo_db.load import demo_builds
from domain.electrical.transient import study as studying
from domain.electrical.transient.pattern import Kick, bursts
from domain.electrical.transient.results import Burst, KickStudy
from domain.electrical.transient.study import kick_study
from domain.evaluate import make_plan
from domain.topics.kick.answer import on_bursts

DEMO = dict(demo_builds())
HATCHBACK = make_plan(DEMO["hatchback"])


def found() -> KickStudy:
    """The study of the hatchback at the typical values."""
    study = kick_study(HATCHBACK.solved, draw_count=0)
    assert study is not None
    return study


def test_a_burst_lasts_as_the_standard_has_it() -> None:
    # source: CEA-490-A 5.2: 20 ms of full level, then 480 ms, every 0.5 s
    times = np.arange(0, 1.0, 1e-5)
    level = np.array([bursts(2).level(time) for time in times])
    assert level.sum() * 1e-5 == pytest.approx(2 * 0.02, rel=1e-3)
    above = times[level >= 0.5]
    assert above[-1] - above[0] == pytest.approx(0.52, abs=1e-4)


def test_bursts_flatter_a_capacitor(monkeypatch: pytest.MonkeyPatch) -> None:
    study = found()
    condition = study.conditions[0]
    plain, helped = condition.of("none"), condition.of("capacitor")
    assert study.burst is not None
    assert plain is not None
    assert helped is not None
    # by hand: 1 F behind some mohm, beside a battery of some, lasts some 10 ms: most of a burst
    assert study.burst.capacitor_v < 0.6 * study.burst.lamps_v
    assert helped.lamps.volts.typical > 0.9 * plain.lamps.volts.typical
    # second method: the kick's study itself, of hits so short
    starts = tuple((0.1 + number) * 0.5 for number in range(3))
    monkeypatch.setattr(studying, "beat", lambda hits: Kick(starts[:hits], 0.02, 0.002))
    short = found().conditions[0]
    for remedy, said in (("none", study.burst.lamps_v), ("capacitor", study.burst.capacitor_v)):
        tried = short.of(remedy)
        assert tried is not None
        assert tried.lamps.volts.typical == pytest.approx(said, rel=0.02)


def test_in_words() -> None:
    study = replace(found(), burst=Burst(0.1315, 0.0671))
    assert on_bursts(study) == (
        "Bursts of 20 ms, as amplifiers are tested with, flatter a capacitor: a 1 F capacitor "
        "leaves 51 % of their dip at the lamps, 94 % of a kick's."
    )
    assert on_bursts(replace(study, burst=Burst(0.1315, 0.123))) == ""
    assert on_bursts(replace(study, burst=Burst(1e-12, 1e-13))) == ""
    assert on_bursts(replace(study, burst=None)) == ""
    assert on_bursts(study.only(study.conditions[1])) == ""
