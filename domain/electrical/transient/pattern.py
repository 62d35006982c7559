"""The kick: when amplifiers draw and how much, and the steps in which that is followed."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Protocol

from msgspec import Struct

from domain.reference.planning import planned

if TYPE_CHECKING:
    from domain.electrical.transient.groups import Array

FIRST_S, GROWTH, LONGEST_S = 0.001, 0.25, 0.025
"""Steps after a bend begin with the first [s] and grow with the time since it, up to the last."""


class Pattern(Protocol):
    """What loads draw over time."""

    def level(self, time_s: float) -> float | Array:
        """How much of a hit there is at a moment [s]: of all loads, or of each in its place."""


class Kick(Struct, frozen=True):
    """Hits that begin at ``starts`` [s] and last ``lasts_s``, edges of ``edge_s`` on top."""

    starts: tuple[float, ...]
    lasts_s: float
    edge_s: float

    def level(self, time_s: float) -> float:
        """How much of a hit there is at a moment: 0 to 1."""
        for start in self.starts:
            since = time_s - start
            if 0 <= since < self.lasts_s + self.edge_s:
                return min(
                    since / self.edge_s, 1.0, (self.lasts_s + self.edge_s - since) / self.edge_s
                )
        return 0.0

    def bends(self) -> list[float]:
        """Where the level bends [s]."""
        return [
            start + after
            for start in self.starts
            for after in (0.0, self.edge_s, self.lasts_s, self.lasts_s + self.edge_s)
        ]


def beat(hits: int) -> Kick:
    """So many hits of the planned kick drum, the first after a tenth of a beat."""
    period = 1 / planned("kick_hz")
    starts = tuple((0.1 + number) * period for number in range(hits))
    return Kick(starts, planned("kick_s"), planned("kick_edge_s"))


def bursts(count: int) -> Kick:
    """So many bursts of an amplifier test, at full power, the first after a tenth of their period.

    source: CEA-490-A 5.2, dynamic headroom: a sine 20 dB louder for 20 ms, then 480 ms of its
    nominal level, a hundredth of the power and here none. CTA-2006 could not be read; that its
    dynamic power is looked at for 2.5 s is all that was found.
    """
    period = 1 / planned("burst_hz")
    starts = tuple((0.1 + number) * period for number in range(count))
    return Kick(starts, planned("burst_s"), planned("kick_edge_s"))


def steps(
    kick: Kick, until_s: float, first_s: float = FIRST_S, longest_s: float = LONGEST_S
) -> list[float]:
    """The moments of the study [s]: every bend, and between them steps that grow."""
    bends = sorted({0.0, until_s, *(b for b in kick.bends() if 0 < b < until_s)})
    found = [0.0]
    for bend, following in pairwise(bends):
        time = bend
        while True:
            step = min(max(first_s, GROWTH * (time - bend)), longest_s)
            if time + 1.5 * step >= following:
                break
            time += step
            found.append(time)
        found.append(following)
    return found
