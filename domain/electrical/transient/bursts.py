"""What the bursts of an amplifier test do at the lamps, beside the kick: they flatter a capacitor.

A kick is five times as long, so that a capacitor that carries a burst is empty long before a kick
is over.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from domain.electrical.transient.integrate import Case, integrate
from domain.electrical.transient.pattern import bursts, steps
from domain.electrical.transient.results import Burst

if TYPE_CHECKING:
    from domain.electrical.transient.groups import Array

BURSTS = 2
"""Bursts that are followed; the second is as good as any after it."""


def burst(plain: Case, helped: Case, lamps: int) -> Burst | None:
    """The dip at the port of the lamps, of a case as it is and of one with the capacitor.

    ``None`` where one of them cannot be carried.
    """
    played = bursts(BURSTS)
    until = played.starts[-1] + played.starts[1] - played.starts[0]
    trace = integrate([plain, helped], played, steps(played, until))
    if trace.failed:
        return None
    begin = trace.times_s.index(played.starts[-1])
    volts: Array = trace.volts[begin:, :, lamps]
    plain_v, helped_v = (float(v) for v in volts[0] - volts.min(axis=0))
    return Burst(plain_v, helped_v)
