"""A piece of music on whole builds: who plays what, what it draws, its hardest second."""

import numpy as np
import pytest

from demo_db.load import demo_builds
from domain.build.edits import apply
from domain.build.records import Build
from domain.electrical.music.bands import Band, channel_sets
from domain.electrical.music.draw import average_level, drawn
from domain.electrical.music.levels import Level, Levels, measured
from domain.electrical.music.song import SongStudy, song_study
from domain.electrical.transient.integrate import Cancelled
from domain.evaluate import evaluate, make_plan
from domain.reference.planning import planned
from domain.topics.kick.song import hardest, judged, level_edit
from domain.topics.tables import Subject
from tests.domain.electrical.small import changed, small_build
from tests.reference.music.pieces import Piece, piece, sine, times

ESTATE = make_plan(dict(demo_builds())["estate_car"])


def levels(sound: Piece) -> Levels:
    found = measured(sound, (Band.LOW, Band.HIGH), 80.0)
    assert found is not None
    return found


def studied(sound: Piece) -> SongStudy:
    return song_study(ESTATE.solved, levels(sound), 80.0)


def drum(bars: int = 6, loud: int = 3) -> Piece:
    """A drum at 2 Hz whose one bar of two seconds is twice as loud as the rest, with a voice."""
    at = times(2.0 * bars)
    hit = np.sin(2 * np.pi * 50 * at) * np.exp(-(at % 0.5) / 0.08)
    size = np.where((at >= 2.0 * loud) & (at < 2.0 * loud + 2), 1.0, 0.5)
    return piece(0.6 * hit * size + 0.1 * np.sin(2 * np.pi * 700 * at))


def test_bass_amplifiers_play_below_the_crossover_and_the_rest_above() -> None:
    assert [(each.amplifier.id, each.band) for each in channel_sets(ESTATE.build)] == [
        ("a1", Band.HIGH),
        ("a2", Band.LOW),
        ("a3", Band.HIGH),
    ]
    alone = changed(small_build(), ("amplifiers", "a1", "channels", 4))
    assert [each.band for each in channel_sets(alone)] == [Band.WHOLE]
    five = changed(alone, ("amplifiers", "a1", "sub_channels", 1))
    five = changed(five, ("amplifiers", "a1", "sub_channel_w", 250.0))
    assert [each.band for each in channel_sets(five)] == [Band.HIGH, Band.LOW]


def test_the_average_is_by_power() -> None:
    # by hand: 75 W x 4, 800 W and 150 W x 2 at 0.1, 0.4 and 0.1 of their power
    flat = np.full(400, 1.0)
    made = Levels(
        2.0,
        0.005,
        Level(1.0, 0.05, flat, 1.0),
        {Band.LOW: Level(1.0, 0.2, flat, 1.0), Band.HIGH: Level(1.0, 0.05, flat, 1.0)},
    )
    sets = channel_sets(ESTATE.build)
    rated = {each.amplifier.id: each.rated_w for each in sets}
    said = (0.1 * (rated["a1"] + rated["a3"]) + 0.4 * rated["a2"]) / sum(rated.values())
    assert average_level(sets, made) == pytest.approx(said)


def test_a_steady_tone_draws_rated_power_at_the_efficiency_of_the_class() -> None:
    # by hand: class D and AB at full power, what the records say; half of full scale is turned up
    taken = drawn(ESTATE.solved, levels(sine(40.0)))
    middle = slice(100, -100)
    for a in ESTATE.build.amplifiers:
        if a.id == "a2":
            full = a.channel_w * a.channels / (a.efficiency or planned("efficiency_D"))
            assert taken.full_w[a.id] == pytest.approx(full)
            assert taken.watts[a.id][middle] == pytest.approx(taken.full_w[a.id], rel=0.02)


def test_a_steady_tone_ends_where_the_network_itself_is_at_full_power() -> None:
    # second method: the sheet's own state with the engine off at full power, its wires as warm
    # as they are then
    bass = changed(
        ESTATE.build, ("amplifiers", "a1", "channel_w", 0.0), ("amplifiers", "a3", "channel_w", 0.0)
    )
    plan = make_plan(bass)
    found = song_study(plan.solved, levels(sine(40.0, 6.0)), 80.0)
    state = next(each for each in plan.sheet.states if each.id == "off-tone")
    said = state.node_v["a2_pos"] - state.node_v["a2_neg"]
    (off,) = [each for each in found.followed if (each.engine, each.remedy) == ("off", "none")]
    assert off.amplifier.lowest_v == pytest.approx(said, abs=0.1)
    assert off.amplifier.dip_v < 0.1


def test_the_hardest_second_is_found_and_followed() -> None:
    found = studied(drum())
    assert 5.5 <= found.hardest_s <= 7.0
    assert found.amplifier == "a2"
    assert {each.engine for each in found.followed} == {"idle", "cruise", "off"}
    assert all(each.carried for each in found.followed)
    for engine in ("idle", "cruise", "off"):
        own = {each.remedy: each for each in found.followed if each.engine == engine}
        assert own["battery"].lamps.dip_v < 0.6 * own["none"].lamps.dip_v
        assert own["capacitor"].amplifier.dip_v < own["none"].amplifier.dip_v
        assert own["none"].lamps.dip_v < own["none"].amplifier.dip_v


def test_half_a_second_hit_is_as_deep_as_the_kick_study_has_it() -> None:
    # second method: the kick drum's study plays full power for 0.1 s twice a second. The music is a
    # little softer: its draw is the mean of 20 ms, of which the crossover leaves 98.6 % and whose
    # edges are slower than the kick's 2 ms
    from domain.electrical.transient.study import kick_study

    kick = kick_study(ESTATE.solved, draw_count=0)
    assert kick is not None
    condition = kick.at("off")
    assert condition is not None
    plain = condition.of("none")
    assert plain is not None
    at = times(8.0)
    # at 100 Hz over a crossover of 400 Hz, so that it keeps the edges of its hits
    sound = piece(np.sin(2 * np.pi * 100 * at) * ((at % 0.5) < 0.1))
    made = measured(sound, (Band.LOW, Band.HIGH), 400.0)
    assert made is not None
    found = song_study(ESTATE.solved, made, 400.0)
    (off,) = [each for each in found.followed if (each.engine, each.remedy) == ("off", "none")]
    assert off.amplifier.dip_v == pytest.approx(plain.amplifier.volts.typical, rel=0.035)
    assert off.lamps.dip_v == pytest.approx(plain.lamps.volts.typical, rel=0.035)


def test_its_average_becomes_that_of_the_build_as_one_edit() -> None:
    found = studied(drum())
    edit = level_edit(found)
    build, inverse = apply(ESTATE.build, edit)
    assert build.header.average_level == pytest.approx(found.average, abs=5e-4)
    assert apply(build, inverse)[0] == ESTATE.build
    # by definition: what is planned is in proportion to it, but for no-signal currents (class D)
    more = evaluate(changed(build, ("header", "", "average_level", 0.25)))
    less = evaluate(changed(build, ("header", "", "average_level", 0.125)))
    assert less.supply.programme_a == pytest.approx(evaluate(ESTATE.build).supply.programme_a)
    assert more.supply.programme_a > 1.3 * less.supply.programme_a


def test_music_that_has_nothing_for_the_amplifiers_is_not_taken() -> None:
    from scipy import signal  # two seconds to load: not at each start of a worker

    sound = sine(3000.0)
    treble = studied(sound)
    # source: scipy's own filter. The tone begins abruptly, so that its first waves overshoot
    sections = signal.butter(4, 80.0, "high", fs=sound.rate_hz, output="sos")
    theirs = signal.sosfilt(sections, sound.samples[:, 0].astype(np.float64))
    said = 2 * float(np.mean(theirs**2)) / float(np.abs(theirs).max()) ** 2
    assert {each.channels.band for each in treble.sets} == {Band.LOW, Band.HIGH}
    for each in treble.sets:
        high = each.channels.band is Band.HIGH
        assert each.average == pytest.approx(said if high else 0.0, abs=1e-3)
    nobody = song_study(make_plan(Build()).solved, levels(sine(50.0)), 80.0)
    assert (nobody.sets, nobody.followed, nobody.average) == ((), (), 0.0)
    with pytest.raises(ValueError, match="nothing for these amplifiers"):
        level_edit(nobody)


def test_it_may_be_stopped() -> None:
    with pytest.raises(Cancelled):
        song_study(ESTATE.solved, levels(sine(50.0)), 80.0, lambda share: share < 0.3)


def test_in_words() -> None:
    subject = Subject(ESTATE.build, ESTATE.sheet)
    found = studied(drum())
    (said, *_) = judged(subject, found)
    assert f"averages {100 * found.average:.1f}".rstrip("0").rstrip(".") in said
    assert "planned with 12.5%, as music" in said
    told = hardest(subject, found)
    assert told.startswith("In its hardest second, from 0:0")
    assert "at idle the lamps swing by" in told
    assert "Bass amp by" in told
    entered = changed(ESTATE.build, ("header", "", "average_level", 0.2))
    assert "20%, as entered" in judged(Subject(entered, ESTATE.sheet), found)[0]
