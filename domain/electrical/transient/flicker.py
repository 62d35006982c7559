"""Does anybody see it? The flickermeter's eye, for a voltage that repeats itself with every beat.

IEC 61000-4-15:2010: the relative change of the voltage passes a filter that stands for a filament
lamp of 120 V, 60 W, and the eye; it is squared and averaged over 300 ms. At 1 half of the viewers
just notice it. Constants of the filter are from memory; it gives back the standard's tables of
sinusoidal and rectangular changes (read). A 12 V lamp has a thicker, slower filament than that of
120 V, so that less is seen of it above some 2 Hz; a lamp with a regulator does not follow at all.
"""

from __future__ import annotations

from math import pi
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from domain.electrical.transient.groups import Array

    Harmonics = NDArray[np.complexfloating[Any]]

GAIN, DAMPING_HZ, PEAK_HZ = 1.6357, 4.167375, 9.077169
ZERO_HZ, POLE_HZ, SECOND_HZ = 2.939902, 1.394468, 17.31512
"""k, lambda, omega 1 to 4 of the weighting filter, over 2 pi; from memory."""

HIGH_PASS_HZ, HIGHEST_HZ = 0.05, 35.0
"""What is slower, or faster, is not seen."""

AVERAGED_S = 0.3

SEEN_HZ, SEEN = 8.8, 0.321 / 100
"""A sinusoidal change that half of the viewers just notice, peak to peak (Table 1, read)."""


def times_noticed(waves: Array, beat_hz: float) -> Array:
    """Times what half of the viewers just notice, of each row: one beat, sampled evenly.

    1: half of them notice it. Rows are voltages [V], their mean is the voltage that they change.
    """
    import numpy as np

    mean = waves.mean(axis=1, keepdims=True)
    relative = waves / np.where(mean > 0, mean, 1.0) - 1
    parts = 2 * np.fft.rfft(relative, axis=1) / waves.shape[1]
    found: Array = np.sqrt(_sensation(parts, beat_hz) / _unit())
    return found


def _unit() -> float:
    """The sensation that counts as 1."""
    import numpy as np

    return float(_sensation(np.array([[0j, SEEN / 2]]), SEEN_HZ)[0])


def _weight(hertz: Any) -> Harmonics:
    """The filter at these frequencies, complex."""
    s = 2j * pi * hertz
    peak, damping = 2 * pi * PEAK_HZ, 2 * pi * DAMPING_HZ
    lamp = GAIN * peak * s / (s * s + 2 * damping * s + peak * peak)
    eye = (1 + s / (2 * pi * ZERO_HZ)) / (
        (1 + s / (2 * pi * POLE_HZ)) * (1 + s / (2 * pi * SECOND_HZ))
    )
    found: Harmonics = lamp * eye * s / (s + 2 * pi * HIGH_PASS_HZ)
    return found


def _sensation(parts: Harmonics, beat_hz: float) -> Array:
    """The greatest averaged square over a beat; ``parts`` are harmonics, 0 first, as phasors."""
    import numpy as np

    count = 512
    hertz = np.arange(parts.shape[1]) * beat_hz
    seen = np.where(hertz <= HIGHEST_HZ, parts * _weight(hertz), 0)
    harmonics = np.zeros((len(parts), count // 2 + 1), dtype=complex)
    most = min(seen.shape[1], count // 4)
    harmonics[:, 1:most] = seen[:, 1:most]
    square = np.fft.irfft(harmonics * (count / 2), count, axis=1) ** 2
    spectrum = np.fft.rfft(square, axis=1)
    slow = 1 / (1 + 2j * pi * beat_hz * AVERAGED_S * np.arange(spectrum.shape[1]))
    found: Array = np.fft.irfft(spectrum * slow, count, axis=1).max(axis=1)
    return found
