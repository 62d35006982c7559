"""Which band of the music each amplifier plays, and the crossover that splits it.

Nobody tells an amplifier's crossover: bass channels and amplifiers of a single channel are taken to
play below the usual one and the rest of a build with bass above it; where nothing plays the bass
alone, everything plays all of the music. The split is Butterworth's of the fourth order, the usual
24 dB an octave, whose two sides share the power without loss: |low|^2 + |high|^2 = 1.
"""

from __future__ import annotations

from enum import StrEnum
from math import cos, pi, tan
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from domain.build.records import Amplifier, Build
from domain.electrical import loads

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Response = NDArray[np.complexfloating[Any]]

ORDER = 4
"""24 dB an octave: what most amplifiers' crossovers have, beside 12. Common practice, memory."""


class Band(StrEnum):
    """What is played of the music."""

    LOW = "below the crossover"
    HIGH = "above the crossover"
    WHOLE = "all of it"


class ChannelSet(Struct, frozen=True):
    """A set of channels of an amplifier: rated together [W], and the band that it plays."""

    amplifier: Amplifier
    rated_w: float
    band: Band


def channel_sets(build: Build) -> tuple[ChannelSet, ...]:
    """All sets of channels that have a rated power, amplifier by amplifier."""
    bass = [a for a in build.amplifiers if a.sub_channels or a.channels == 1]
    split = any(loads.rated_w(a) for a in bass)
    found = []
    for a in build.amplifiers:
        alone = not a.sub_channels and a.channels == 1
        upper = Band.HIGH if split else Band.WHOLE
        main = Band.LOW if alone else upper
        found.append(ChannelSet(a, a.channels * a.channel_w, main))
        found.append(ChannelSet(a, a.sub_channels * a.sub_channel_w, Band.LOW))
    return tuple(each for each in found if each.rated_w > 0)


def response(band: Band, hertz: Any, rate_hz: float, crossover_hz: float) -> Response:
    """The crossover's response, complex, at frequencies up to half the rate [Hz].

    The analogue filter through the bilinear transform, bent so that the crossover stays at its
    frequency (3 dB down on both sides): s = j tan(pi f / f_s) / tan(pi f_c / f_s). 1 for all of it.
    """
    import numpy as np

    if band is Band.WHOLE:
        return np.ones(len(hertz), dtype=complex)
    bent = np.tan(np.clip(pi * np.asarray(hertz) / rate_hz, 1e-9, pi / 2 - 1e-9))
    ratio = bent / tan(pi * crossover_hz / rate_hz)
    # the polynomial B reads alike from both ends: the high side, s^n / B(s), is 1 / B(1/s)
    s = 1j * ratio if band is Band.LOW else -1j / ratio
    under: Response = np.ones(len(ratio), dtype=complex)
    for number in range(1, ORDER // 2 + 1):
        damping = 2 * cos((2 * number - 1) * pi / (2 * ORDER))
        under = under * (s * s + damping * s + 1)
    found: Response = 1 / under
    return found
