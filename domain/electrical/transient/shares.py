"""Where a dip comes from: battery, wires, alternator and capacitors told apart.

Superposition. With nothing but the batteries' quick resistances in the network, what each part
draws more at the lowest moment than before the hit loses so much at a port, W = volts there for an
ampere of it; what is lost across the battery that feeds the port is the battery's, the rest the
wires'. A battery's slow part acts as a source behind its quick one. What alternator and capacitors
give comes off.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from domain.electrical.transient import parts
from domain.electrical.transient.results import Share

if TYPE_CHECKING:
    from domain.electrical.transient.integrate import Case, Trace

LEAST_DIP_V = 1e-4
"""Less than this is no dip [V]."""

NOTHING = Share(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
"""Of a dip that there is not."""


def share_of(
    case: Case, trace: Trace, row: int, moments: tuple[int, int], ports: tuple[int, int]
) -> Share:
    """The shares of a dip of a case in a row of a trace, from one moment to its lowest one.

    ``ports``: where it dips, and the battery that feeds it.
    """
    import numpy as np

    before, low = moments
    port, battery = ports
    volts = trace.volts[before, row] - trace.volts[low, row]
    more = trace.amps[low, row] - trace.amps[before, row]
    is_battery = np.array([isinstance(part, parts.Battery) for part in case.parts])
    ohms, fixed = np.array(case.ohms), np.array(case.fixed)
    others = np.where(is_battery, 0.0, fixed)
    alone = np.linalg.solve(np.eye(len(fixed)) - ohms * others[None, :], ohms)
    # of a battery its slow part: what flows less than through the quick one alone
    acting = np.where(is_battery, more + fixed * volts, more)
    lost = alone[port] * acting
    across = alone[battery] * acting
    whole = float(volts[port])
    given = {
        kind: -float(sum(more[n] for n, part in enumerate(case.parts) if isinstance(part, kind)))
        for kind in (parts.Battery, parts.Alternator, parts.Capacitor)
    }
    every = sum(given.values())
    if whole < LEAST_DIP_V or every <= 0:
        return NOTHING
    gives = {
        kind: np.array([isinstance(part, kind) for part in case.parts])
        for kind in (parts.Alternator, parts.Capacitor)
    }
    takes = ~(gives[parts.Alternator] | gives[parts.Capacitor])
    return Share(
        float(across[takes].sum()) / whole,
        float((lost - across)[takes].sum()) / whole,
        float(lost[gives[parts.Alternator]].sum()) / whole,
        float(lost[gives[parts.Capacitor]].sum()) / whole,
        given[parts.Battery] / every,
        given[parts.Alternator] / every,
        given[parts.Capacitor] / every,
    )
