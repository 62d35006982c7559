"""Levels of music against closed forms, scipy's own filters and Parseval's theorem."""

import tracemalloc
from collections.abc import Iterator
from math import log10

import numpy as np
import pytest
from numpy.typing import NDArray

from domain.electrical.music.bands import Band
from domain.electrical.music.levels import Level, Levels, Stopped, measured
from tests.reference.music.pieces import Piece, noise, piece, sine, times

BOTH = (Band.LOW, Band.HIGH)

IEC_60268_1 = {
    **{20.0: -13.5, 25.0: -10.2, 31.5: -7.4, 40.0: -5.2, 50.0: -3.3, 63.0: -2.0, 80.0: -1.1},
    **{100.0: -0.5, 125.0: -0.2, 200.0: 0.0, 1000.0: -0.1, 2000.0: -1.0, 4000.0: -3.7},
    **{8000.0: -9.0, 10000.0: -11.4, 16000.0: -16.7, 20000.0: -20.0},
}
"""Simulated programme of IEC 60268-1: third-octave levels over pink noise [dB], from memory."""


def levels(sound: Piece, crossover_hz: float = 80.0) -> Levels:
    found = measured(sound, BOTH, crossover_hz)
    assert found is not None
    return found


def test_a_sine_has_3_db_and_plays_at_rated_power() -> None:
    # source: closed form, peak over root mean square of a sine is sqrt 2; amplifiers are rated
    # with one
    found = levels(sine(100.0)).whole
    assert found.crest_db == pytest.approx(20 * log10(2**0.5), abs=1e-5)
    assert found.average == pytest.approx(1.0, abs=1e-6)


def test_a_square_wave_has_0_db_and_is_counted_as_full_power() -> None:
    # source: closed form
    wave = piece(0.3 * np.sign(np.sin(2 * np.pi * 50 * times(2.0) + 0.1)))
    found = levels(wave).whole
    assert found.crest_db == pytest.approx(0.0, abs=1e-6)
    assert found.average == 1.0


@pytest.mark.parametrize("share", [0.5, 0.25, 0.125])
def test_bursts_average_what_they_are_on_for(share: float) -> None:
    # source: closed form, a sine that is on for a share of the time averages that share of its
    # power: crest factor 3.01 dB - 10 log share
    at = times(8.0)
    found = levels(piece(0.8 * np.sin(2 * np.pi * 100 * at) * ((at % 0.8) < 0.8 * share))).whole
    assert found.average == pytest.approx(share, rel=1e-6)
    assert found.crest_db == pytest.approx(20 * log10(2**0.5) - 10 * log10(share), abs=1e-5)
    assert found.slices.min() == 0


@pytest.mark.parametrize(("rate_hz", "crossover_hz"), [(8000, 80), (44100, 120), (192000, 60)])
def test_the_split_is_that_of_a_general_library(rate_hz: int, crossover_hz: int) -> None:
    from scipy import signal  # two seconds to load: not at each start of a worker

    # source: scipy.signal, Butterworth of the fourth order run sample by sample
    random = np.random.default_rng(rate_hz)
    at = times(2.0 if rate_hz > 50_000 else 4.0, rate_hz)
    bass = np.sin(2 * np.pi * 55 * at) * np.exp(-(at % 0.5) / 0.1)
    sound = piece(0.3 * bass + 0.1 * random.standard_normal(len(at)), rate_hz=rate_hz)
    found = levels(sound, crossover_hz)
    samples = sound.samples[:, 0].astype(np.float64)
    for band, kind in ((Band.LOW, "low"), (Band.HIGH, "high")):
        sections = signal.butter(4, crossover_hz, kind, fs=rate_hz, output="sos")
        theirs = signal.sosfilt(sections, samples)
        mine = found.of(band)
        assert mine.mean_square == pytest.approx(float(np.mean(theirs**2)), rel=1e-4)
        assert mine.peak == pytest.approx(float(np.abs(theirs).max()), rel=1e-3)
        size = round(rate_hz * 0.005)
        count = len(samples) // size
        slices = (theirs[: count * size] ** 2).reshape(count, size).mean(axis=1)
        assert mine.slices[:count] == pytest.approx(slices, abs=1e-5 * float(slices.max()))


def test_the_two_sides_share_the_power_without_loss() -> None:
    # conservation: Parseval's theorem, |low|^2 + |high|^2 = 1 at every frequency
    weighted = noise(IEC_60268_1, 8.0, 44100, 3)
    found = levels(piece(weighted, rate_hz=44100))
    both = found.of(Band.LOW).mean_square + found.of(Band.HIGH).mean_square
    # what has not died out at the end is missing: some 0.1 s of 8 s in the lowest octave
    assert both == pytest.approx(found.whole.mean_square, rel=3e-4)


def test_simulated_programme_has_the_bass_that_its_weighting_gives_it() -> None:
    # source: IEC 60268-1's weighting (memory) over pink noise, integrated with the closed form of
    # the filter, 1 / (1 + (f / f_c)^8)
    found = levels(piece(noise(IEC_60268_1, 30.0, 44100, 5), rate_hz=44100), 80.0)
    known = sorted(IEC_60268_1)
    octaves = np.linspace(np.log(20), np.log(20000), 20001)
    power = 10 ** (np.interp(octaves, np.log(known), [IEC_60268_1[f] for f in known]) / 10)
    low = power / (1 + (np.exp(octaves) / 80.0) ** 8)
    share = found.of(Band.LOW).mean_square / found.whole.mean_square
    assert share == pytest.approx(float(low.sum() / power.sum()), rel=5e-4)


def test_noise_that_is_cut_off_at_twice_its_deviation() -> None:
    # source: closed form, Gaussian noise between -2 and 2 deviations: mean square
    # erf(sqrt 2) - 4 phi(2) + 4 (1 - erf(sqrt 2)) = 0.92054 of what it was, so 6.38 dB. Its
    # fourth moment is 2.0798, so that of so many samples the mean square deviates by
    # sqrt(2.0798 - 0.92054^2) / 0.92054 / sqrt(count) = 1.21 / sqrt(count): four times that
    random, count = np.random.default_rng(11), 1_000_000
    cut = np.clip(random.standard_normal(count), -2, 2) / 2
    found = levels(piece(0.9 * cut)).whole
    within = 4 * 1.21 / count**0.5
    assert found.crest_db == pytest.approx(10 * log10(4 / 0.92054), abs=10 * log10(1 + within))
    assert found.average == pytest.approx(2 * 0.92054 / 4, rel=within)


def test_bass_is_that_of_both_sides_together_and_the_rest_of_each() -> None:
    # closed form: what is the same on both sides stays, what is opposite cancels in a bass box;
    # of each tone the other band keeps 1 / (1 + (f / f_c)^8) or the rest of it. The bass begins
    # abruptly, and its first wave of 90 is not whole
    at = times(3.0)
    bass, voice = np.sin(2 * np.pi * 30 * at), np.sin(2 * np.pi * 1000 * at)
    same = levels(piece(0.4 * bass + 0.1 * voice, 0.4 * bass - 0.1 * voice))
    opposite = levels(piece(0.4 * bass, -0.4 * bass))
    over = (30 / 80) ** 8 / (1 + (30 / 80) ** 8)
    assert same.of(Band.LOW).mean_square == pytest.approx(0.08 * (1 - over), rel=2e-3)
    assert same.of(Band.HIGH).mean_square == pytest.approx(0.005 + 0.08 * over, rel=2e-3)
    assert opposite.of(Band.LOW).mean_square < 1e-9
    assert opposite.whole.mean_square == pytest.approx(0.08, rel=1e-6)


def test_silence_has_no_level() -> None:
    found = levels(piece(np.zeros(8000), np.zeros(8000)))
    assert found.whole.silent
    assert found.whole.average == 0
    assert Level(0.0, 0.0, np.zeros(1), 0.0).crest_db == float("inf")
    assert measured(Piece(np.zeros((0, 1), dtype=np.float32)), BOTH, 80) is None


def test_progress_runs_and_may_stop_it() -> None:
    seen: list[float] = []

    def watch(share: float) -> bool:
        seen.append(share)
        return len(seen) < 3

    with pytest.raises(Stopped):
        measured(sine(50.0, 60.0), BOTH, 80.0, watch)
    assert seen == sorted(seen)
    assert seen[0] == 0
    assert seen[-1] < 1


def test_memory_does_not_grow_with_the_length_but_for_its_slices() -> None:
    class Long:
        """A tone that is made while it is read."""

        rate_hz = 4000

        def __init__(self, frames: int) -> None:
            self.frames = frames

        def blocks(self, frames: int) -> Iterator[NDArray[np.float32]]:
            for begin in range(0, self.frames, frames):
                at = np.arange(begin, min(begin + frames, self.frames), dtype=np.float32)
                yield np.sin(at)[:, None]

    peaks = []
    for minutes in (1, 8):
        tracemalloc.start()
        found = measured(Long(minutes * 60 * 4000), (Band.LOW,), 80.0)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
        assert found is not None
        assert found.seconds == minutes * 60
    slices = 7 * 60 * 200 * 8 * 2  # of seven minutes more, two bands
    assert peaks[1] - peaks[0] < 3 * slices
