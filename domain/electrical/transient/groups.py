"""The parts of many cases at once, kind by kind: current, slope and inner state in one stage.

A stage of the integration asks for the state ``x = base + alpha f(x, v)``; solved here in closed
form for each kind, so that only the voltages across the ports are left to be found. Arrays have
a row for each case and a column for each part of the kind.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from domain.electrical.network import nodal
from domain.electrical.transient import parts

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Stage = Callable[[Array], tuple[Array, Array, Array]]
    """Takes voltages [V]: current [A], its slope [S], state."""


class Group(Protocol):
    """The parts of one kind, in all cases."""

    def start(self, volts: Array) -> Array:
        """The state of each while everything is at rest at these voltages [V]."""

    def stage(self, alpha: float, base: Array, level: float | Array) -> Stage:
        """Current, slope and state by voltages, and a level of the hit or each load's.

        What does not hang on the voltages is worked out here, once for all rounds.
        """


def _table(rows: Sequence[Sequence[object]], field: str) -> Array:
    import numpy as np

    return np.array([[getattr(part, field) for part in row] for row in rows], dtype=np.float64)


def _nothing(volts: Array) -> Array:
    return volts[:, :0]


class Batteries:
    """Batteries: the state is the voltage across the slow resistance, positive while charging."""

    def __init__(self, rows: Sequence[Sequence[parts.Battery]]) -> None:
        self.rest = _table(rows, "rest_v")
        self.quick = 1 / _table(rows, "quick_ohm")
        self.slow = _table(rows, "slow_ohm")
        self.taking = _table(rows, "taking_ohm")
        self.farads = _table(rows, "slow_f")

    def start(self, volts: Array) -> Array:
        """V_slow = (V - V_rest) R1 / (R0 + R1)."""
        import numpy as np

        over = volts - self.rest
        part = np.where(over > 0, self.taking, self.slow) * self.quick
        at_rest: Array = over * part / (1 + part)
        return at_rest

    def stage(self, alpha: float, base: Array, level: float | Array) -> Stage:
        """C1 dV_slow/dt = I - V_slow / R1, I = (V - V_rest - V_slow) / R0."""
        import numpy as np

        share = alpha * self.quick / self.farads
        taking, giving = (1 + share + alpha / (r * self.farads) for r in (self.taking, self.slow))
        slopes = [self.quick * (1 - share / under) for under in (taking, giving)]

        def at(volts: Array) -> tuple[Array, Array, Array]:
            over = volts - self.rest
            top = base + share * over
            charging = top > 0
            state = top / np.where(charging, taking, giving)
            return (over - state) * self.quick, np.where(charging, *slopes), state

        return at


class Capacitors:
    """Capacitors: the state is the voltage behind the series resistance."""

    def __init__(self, rows: Sequence[Sequence[parts.Capacitor]]) -> None:
        self.siemens = 1 / _table(rows, "ohm")
        self.farads = _table(rows, "farads")
        self.leak = _table(rows, "leak_a")

    def start(self, volts: Array) -> Array:
        """Charged to what lies across it."""
        return volts.copy()

    def stage(self, alpha: float, base: Array, level: float | Array) -> Stage:
        """C dV_c/dt = (V - V_c) / R."""
        share = alpha * self.siemens / self.farads
        under = 1 + share
        slope = self.siemens / under

        def at(volts: Array) -> tuple[Array, Array, Array]:
            state = (base + share * volts) / under
            return (volts - state) * self.siemens + self.leak, slope, state

        return at


class Alternators:
    """Alternators: the state is the current that each gives."""

    def __init__(self, rows: Sequence[Sequence[parts.Alternator]]) -> None:
        self.set_v = _table(rows, "set_v")
        self.droop = _table(rows, "droop_ohm")
        self.limit = _table(rows, "limit_a")
        self.lag = _table(rows, "lag_s")
        self.rise = _table(rows, "rise_a_s")

    def _asked(self, volts: Array) -> Array:
        import numpy as np

        asked: Array = np.minimum(np.maximum((self.set_v - volts) / self.droop, 0.0), self.limit)
        return asked

    def start(self, volts: Array) -> Array:
        """What the regulator asks for."""
        return self._asked(volts)

    def stage(self, alpha: float, base: Array, level: float | Array) -> Stage:
        """dI/dt = (asked - I) / lag, no more than it may rise by."""
        import numpy as np

        share = alpha / self.lag
        ramped = base + alpha * self.rise
        slope = share / (1 + share) / self.droop

        def at(volts: Array) -> tuple[Array, Array, Array]:
            asked = self._asked(volts)
            free = (base + share * asked) / (1 + share)
            state = np.minimum(free, ramped)
            bends = (asked > 0) & (asked < self.limit) & (free < ramped)
            back = np.maximum(volts - self.set_v, 0.0) * nodal.IDLE_SIEMENS
            return back - state, np.where(bends, slope, 0.0), state

        return at


class Loads:
    """Amplifiers and other loads of constant power, or of power that falls with V squared."""

    def __init__(self, rows: Sequence[Sequence[parts.Drawn]]) -> None:
        quiet = [[part.quiet for part in row] for row in rows]
        hit = [[part.hit for part in row] for row in rows]
        self.quiet_w, self.hit_w = _table(quiet, "power_w"), _table(hit, "power_w")
        self.idle, self.lowest = _table(quiet, "idle_a"), _table(quiet, "lowest_v")
        self.more_w = self.hit_w - self.quiet_w
        self.regulated = _table(quiet, "regulated") > 0
        self.all_regulated = bool(self.regulated.all())
        self.square = _table(quiet, "reference_v") ** 2

    def start(self, volts: Array) -> Array:
        """They have no state."""
        return _nothing(volts)

    def stage(self, alpha: float, base: Array, level: float | Array) -> Stage:
        """I = P / V + I_0, or P V / V_0^2 + I_0; in proportion to V below the lowest voltage."""
        import numpy as np

        power = self.quiet_w + level * self.more_w

        def at(volts: Array) -> tuple[Array, Array, Array]:
            below = volts < self.lowest
            low = bool(below.any())
            on = np.maximum(volts, self.lowest) if low else volts
            drawn = power / on
            slope = -drawn / on
            if not self.all_regulated:
                drawn = np.where(self.regulated, drawn, power * on / self.square)
                slope = np.where(self.regulated, slope, power / self.square)
            drawn += self.idle
            if not low:
                return drawn, slope, base
            fading = drawn / self.lowest
            return np.where(below, fading * volts, drawn), np.where(below, fading, slope), base

        return at


class LampSets:
    """Filament lamps."""

    def __init__(self, rows: Sequence[Sequence[parts.Lamps]]) -> None:
        self.exponent = _table(rows, "exponent")
        self.scale = _table(rows, "amperes") / _table(rows, "volts") ** self.exponent

    def start(self, volts: Array) -> Array:
        """What the filament's heat keeps is left out: they have no state."""
        return _nothing(volts)

    def stage(self, alpha: float, base: Array, level: float | Array) -> Stage:
        """I = I_0 (V / V_0)^n, a resistor where there is next to no voltage."""
        import numpy as np

        def at(volts: Array) -> tuple[Array, Array, Array]:
            on = np.maximum(volts, parts.LEAST_LAMP_V)
            drawn = self.scale * on**self.exponent
            least = drawn / on
            slope = self.exponent * least
            below = volts < parts.LEAST_LAMP_V
            if not below.any():
                return drawn, slope, base
            return np.where(below, least * volts, drawn), np.where(below, least, slope), base

        return at


class OneWays:
    """Isolators that pass one way."""

    def __init__(self, rows: Sequence[Sequence[parts.OneWay]]) -> None:
        self.drop = _table(rows, "drop_v")
        self.siemens = 1 / _table(rows, "ohm")

    def start(self, volts: Array) -> Array:
        """They have no state."""
        return _nothing(volts)

    def stage(self, alpha: float, base: Array, level: float | Array) -> Stage:
        """I = (V - V_d) / R above the drop."""
        import numpy as np

        def at(volts: Array) -> tuple[Array, Array, Array]:
            over = volts - self.drop
            slope = np.where(over > 0, self.siemens, nodal.LOOSE_SIEMENS)
            return over * slope, slope, base

        return at


class Wires:
    """Wires with inductance: the state is the current."""

    def __init__(self, rows: Sequence[Sequence[parts.Wire]]) -> None:
        self.ohm = _table(rows, "ohm")
        self.henries = _table(rows, "henries")

    def start(self, volts: Array) -> Array:
        """What flows at rest."""
        flows: Array = volts / self.ohm
        return flows

    def stage(self, alpha: float, base: Array, level: float | Array) -> Stage:
        """L dI/dt = V - R I."""
        share = alpha / self.henries
        under = 1 + share * self.ohm
        begin, slope = base / under, share / under

        def at(volts: Array) -> tuple[Array, Array, Array]:
            state = begin + slope * volts
            return state, slope, state

        return at


_GROUPS = {
    parts.Battery: Batteries,
    parts.Capacitor: Capacitors,
    parts.Alternator: Alternators,
    parts.Drawn: Loads,
    parts.Lamps: LampSets,
    parts.OneWay: OneWays,
    parts.Wire: Wires,
}


def grouped(cases: Sequence[Sequence[parts.Part]]) -> list[tuple[slice, Group]]:
    """The kinds that there are, each with its columns; parts stand in the order of ``KINDS``."""
    found: list[tuple[slice, Group]] = []
    begin = 0
    for kind in parts.KINDS:
        count = sum(isinstance(part, kind) for part in cases[0])
        if count:
            span = slice(begin, begin + count)
            make: Callable[..., Group] = _GROUPS[kind]
            found.append((span, make([row[span] for row in cases])))
            begin += count
    return found
