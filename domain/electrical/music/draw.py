"""What amplifiers draw of the battery while a piece of music is played, moment by moment."""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from domain.electrical import loads
from domain.electrical.music.bands import ChannelSet, channel_sets
from domain.electrical.transient.networks import Played, takers_fed
from domain.reference.planning import planned

if TYPE_CHECKING:
    from domain.electrical.music.levels import Levels, Series
    from domain.electrical.sizing.size_and_solve import SolvedNetwork

HARDEST_S, LEAD_S = 1.0, 2.0
"""The hardest passage, and what is followed of the music before it [s]."""


def averages(sets: tuple[ChannelSet, ...], levels: Levels) -> list[float]:
    """Average over rated power of each set of channels."""
    return [levels.of(each.band).average for each in sets]


def average_level(sets: tuple[ChannelSet, ...], levels: Levels) -> float:
    """Average over rated power of all sets together: by their power."""
    rated = sum(each.rated_w for each in sets)
    given = zip(sets, averages(sets, levels), strict=True)
    return sum(each.rated_w * share for each, share in given) / rated if rated else 0.0


class Drawn(Struct, frozen=True):
    """What the amplifiers that a battery feeds draw beside their no-signal current [W], by id.

    In slices of ``slice_s`` [s]; ``full_w`` is what each draws at its rated power.
    """

    slice_s: float
    watts: dict[str, Series]
    full_w: dict[str, float]

    def hardest(self) -> int:
        """The slice with which the second begins in which all together draw most."""
        import numpy as np

        every = np.cumsum(np.concatenate([[0.0], sum(self.watts.values())]))
        length = min(max(round(HARDEST_S / self.slice_s), 1), len(every) - 1)
        return int(np.argmax(every[length:] - every[:-length]))

    def loads(self, solved: SolvedNetwork) -> Played:
        """As the network takes them: at rest the average of the music, in a hit the rated power."""
        found = {}
        for a in solved.wired.build.amplifiers:
            if a.id in self.watts:
                own = replace(loads.load(a, 1.0), cap_a=inf)
                rest_w = float(self.watts[a.id].mean())
                hit_w = rest_w + self.full_w[a.id]
                found[a.id] = replace(own, power_w=rest_w), replace(own, power_w=hit_w)
        return found


def drawn(solved: SolvedNetwork, levels: Levels) -> Drawn:
    """What amplifiers draw: P / eta, each set at a short-time share f of its rated power P.

    Efficiency goes with f as it does with the average; beyond the rated power, where tops are
    flat, it stays. An amplifier's own capacitors even out what is shorter than half a wave of the
    lowest notes: f is the mean around a moment, weighted by a raised cosine of that width.
    """
    import numpy as np

    fed = {taker.id for taker in takers_fed(solved)}
    width = max(round(planned("music_evened_s") / levels.slice_s), 1)
    around = np.hanning(2 * width + 1)
    around /= around.sum()
    watts: dict[str, Series] = {}
    full: dict[str, float] = {}
    for each in channel_sets(solved.wired.build):
        level, a = levels.of(each.band), each.amplifier
        if a.id not in fed or level.silent:
            continue
        share = 2 * np.convolve(level.slices, around, mode="same") / level.full**2
        falls = 1 - loads.efficiency_exponent(a)
        at_full = each.rated_w / loads.rated_efficiency(a)
        own = at_full * np.where(share < 1, share**falls, share)
        watts[a.id] = watts[a.id] + own if a.id in watts else own
        full[a.id] = full.get(a.id, 0.0) + at_full
    return Drawn(levels.slice_s, watts, full)
