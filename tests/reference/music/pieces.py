"""Pieces of music made for the tests: known in closed form, read as a file is."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass
class Piece:
    """Samples as they would come from a file: a column a channel."""

    samples: NDArray[np.float32]
    rate_hz: int = 8000

    @property
    def frames(self) -> int:
        return len(self.samples)

    def blocks(self, frames: int) -> Iterator[NDArray[np.float32]]:
        for begin in range(0, len(self.samples), frames):
            yield self.samples[begin : begin + frames]


def times(seconds: float, rate_hz: int = 8000) -> NDArray[np.float64]:
    return np.arange(round(seconds * rate_hz)) / rate_hz


def piece(*channels: NDArray[np.float64], rate_hz: int = 8000) -> Piece:
    return Piece(np.stack(channels, axis=1).astype(np.float32), rate_hz)


def sine(hertz: float, seconds: float = 4.0, peak: float = 0.5, rate_hz: int = 8000) -> Piece:
    return piece(peak * np.sin(2 * np.pi * hertz * times(seconds, rate_hz)), rate_hz=rate_hz)


def noise(
    weights_db: dict[float, float], seconds: float, rate_hz: int, seed: int
) -> NDArray[np.float64]:
    """Noise of these third-octave levels over those of pink noise [dB], at frequencies between."""
    count = round(seconds * rate_hz)
    random = np.random.default_rng(seed)
    hertz = np.fft.rfftfreq(count, 1 / rate_hz)
    known = sorted(weights_db)
    level = np.interp(
        np.log(np.maximum(hertz, 1e-3)), np.log(known), [weights_db[each] for each in known]
    )
    size = 10 ** (level / 20) / np.sqrt(np.maximum(hertz, 1.0))
    size[(hertz < known[0]) | (hertz > known[-1])] = 0
    found = np.fft.irfft(size * np.exp(2j * np.pi * random.random(len(hertz))), count)
    return np.asarray(found / np.abs(found).max())
