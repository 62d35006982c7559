"""How loud a piece of music is, band by band: peak, average and crest factor, slice by slice.

It is read block by block and split by fast Fourier transforms that overlap, so that an hour of it
needs no more memory than its slices. What is judged is the level at which the loudest peak of a
band just reaches the rated power of its amplifier: turned up further, it is cut off.
"""

from __future__ import annotations

from math import inf, log10
from typing import TYPE_CHECKING, Protocol

from msgspec import Struct

from domain.electrical.music.bands import Band, response

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterator

    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float32]
    Series = NDArray[np.float64]

SLICE_S = 0.005
"""The music's power is kept in slices of this length [s]."""

HISTORY_S = 0.4
"""What the crossover remembers: after this long less than a millionth is left of it [s]."""

BLOCK_S = 3.0
"""About how much is read and split at a time [s]."""

SILENT = 1e-5
"""A peak below this share of full scale is no music: a digit of 16 bits is three times that."""


MOST_GAIN_DB = 20.0
"""A band is turned up by no more than this over the recording's own peak [dB]: what has less in it
does not reach full power. Common practice."""


class Sound(Protocol):
    """A piece of music that is read from its beginning."""

    @property
    def rate_hz(self) -> int:
        """Samples in a second."""

    @property
    def frames(self) -> int:
        """How many samples of each channel it has."""

    def blocks(self, frames: int) -> Iterator[Samples]:
        """Blocks of so many samples, the last one shorter: a column a channel, full scale 1."""


class Stopped(Exception):
    """Stopped by whoever watched the progress."""


class Level(Struct, frozen=True):
    """One band: greatest peak and mean square over all, of full scale; mean squares of slices.

    ``full`` is the amplitude that a sine has at rated power: that of the peak, but where there is
    next to nothing in the band.
    """

    peak: float
    mean_square: float
    slices: Series
    full: float

    @property
    def crest_db(self) -> float:
        """Peak over root mean square [dB]: 3.01 for a sine, 0 for a square wave."""
        if self.mean_square <= 0:
            return inf
        return 10 * log10(self.peak**2 / self.mean_square)

    @property
    def average(self) -> float:
        """Average over rated power, ``full`` being the peak of a sine at rated power.

        2 / CF^2, CF being the crest factor: 1 for a sine. No more than 1, for a flat-topped wave.
        """
        if self.silent:
            return 0.0
        return min(2 * self.mean_square / self.full**2, 1.0)

    @property
    def silent(self) -> bool:
        """Whether there is nothing in it."""
        return self.peak < SILENT


class Levels(Struct, frozen=True):
    """A piece of music: all of it, and the bands that were asked for; ``slice_s`` long slices [s].

    ``seconds`` is what was read of it.
    """

    seconds: float
    slice_s: float
    whole: Level
    bands: dict[Band, Level]

    def of(self, band: Band) -> Level:
        """The level of a band."""
        return self.whole if band is Band.WHOLE else self.bands[band]


class _Tally:
    """What is counted of one band."""

    def __init__(self, slice_frames: int) -> None:
        self.frames = slice_frames
        self.peak = 0.0
        self.sum = 0.0
        self.count = 0
        self.slices: list[Series] = []

    def add(self, samples: Samples) -> None:
        """Count some slices, the last one perhaps not whole."""
        import numpy as np

        length = len(samples)
        self.peak = max(self.peak, float(samples.max()), -float(samples.min()))
        square = np.einsum("ij,ij->i", samples, samples, dtype=np.float64) / samples.shape[1]
        begins = np.arange(0, length, self.frames)
        sums = np.add.reduceat(square, begins)
        self.sum += float(sums.sum())
        self.count += length
        self.slices.append(sums / np.minimum(self.frames, length - begins))

    def level(self, least_full: float) -> Level:
        import numpy as np

        mean_square, slices = self.sum / max(self.count, 1), np.concatenate(self.slices)
        return Level(self.peak, mean_square, slices, max(self.peak, least_full))


def measured(
    sound: Sound,
    bands: Collection[Band],
    crossover_hz: float,
    progress: Callable[[float], bool] | None = None,
) -> Levels | None:
    """The levels of a piece of music; ``None`` where there is not a sample in it.

    ``progress`` is called with the share done, 0 to 1; when it returns false, ``Stopped`` is
    raised. The low band is that of the channels' mean, as one bass box plays it; the others are
    those of each channel, peak of the loudest and mean of all.
    """
    import numpy as np

    rate = sound.rate_hz
    frames = max(round(rate * SLICE_S), 1)
    history = -(-round(rate * HISTORY_S) // frames) * frames
    size = 1 << (history + round(rate * BLOCK_S) - 1).bit_length()
    block = (size - history) // frames * frames
    hertz = np.fft.rfftfreq(size, 1 / rate)
    split = {
        band: response(band, hertz, rate, crossover_hz).astype(np.complex64)
        for band in (Band.LOW, Band.HIGH)
        if band in bands
    }
    whole, tallies = _Tally(frames), {band: _Tally(frames) for band in split}
    before: Samples | None = None
    done = 0
    for part in sound.blocks(block):
        if progress and not progress(min(done / max(sound.frames, 1), 1.0)):
            raise Stopped
        whole.add(part)
        if before is None:
            before = np.zeros((history, part.shape[1]), dtype=np.float32)
        joined = np.concatenate([before, part])
        for band, filter_ in split.items():
            mixed = joined.mean(axis=1, keepdims=True) if band is Band.LOW else joined
            spectrum = np.fft.rfft(mixed, size, axis=0) * filter_[:, None]
            filtered = np.fft.irfft(spectrum, size, axis=0)
            tallies[band].add(filtered[history : history + len(part)].astype(np.float32))
        before = joined[-history:]
        done += len(part)
    if not done:
        return None
    least = whole.peak * 10 ** (-MOST_GAIN_DB / 20)
    found = {band: tally.level(least) for band, tally in tallies.items()}
    return Levels(done / rate, frames / rate, whole.level(least), found)
