"""Many cases of one network followed in time together, by TR-BDF2.

Each step is a trapezoidal stage and a backward one of second order (gamma = 2 - sqrt 2), both with
the same alpha = gamma h / 2; the method is of second order and damps what is faster than a step
(Bank et al. 1985, from memory). Conductances are eliminated once: what is left are the voltages
across the ports, v = -Z (i(v) - g v), found with one inverse for each length of step, and by
Newton's method where that does not settle. Cases share their ports and the moments, not their
values: one pass follows them all.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import sqrt
from typing import TYPE_CHECKING

from domain.electrical.network import elimination, nodal
from domain.electrical.transient import groups, parts

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from domain.electrical.transient.groups import Array
    from domain.electrical.transient.pattern import Pattern

    Rows = slice | NDArray[np.intp]

GAMMA = 2 - sqrt(2)

SETTLED_V = 1e-7
"""A round that moves no port by more than this has settled [V]: the next would move it by less than
a tenth of that."""

ROUNDS, NEWTON_ROUNDS = 12, 60
"""Rounds with the kept inverse; rounds of Newton's method after that, for cases that need it."""

SLOW_ROUNDS = (2, 5)
"""After these the inverse is made anew for the cases that have not settled."""

ALL = slice(None)
"""All cases."""

AT_REST_S = 1e-9
"""The stage in which currents at rest are read: next to no time [s]."""

LONGEST_STEP_V = 1.0
"""A round of Newton's method moves no port by more than this [V]."""


class Cancelled(Exception):
    """Stopped by whoever watched the progress."""


@dataclass(frozen=True, slots=True)
class Case:
    """One case: resistances seen at the ports [ohm], the parts there, and their volts at rest.

    ``fixed`` are the conductances that were put into the network for each port [S].
    """

    ohms: Sequence[Sequence[float]]
    fixed: Sequence[float]
    parts: Sequence[parts.Part]
    quiet_v: Sequence[float]


@dataclass(frozen=True, slots=True)
class Trace:
    """What came out: ``times_s``; ``volts`` and ``amps`` by moment, case and port.

    ``failed`` are the cases in which no voltages were found that fit: the network cannot carry it.
    """

    times_s: list[float]
    volts: Array
    amps: Array
    failed: frozenset[int]


def port_ohms(
    circuit: nodal.Circuit, siemens: Sequence[float], fixed: Sequence[float]
) -> list[list[float]]:
    """Volts across each port for an ampere into another [ohm]; a row for each.

    The elements of the circuit are the ports, ``fixed`` the conductance that each keeps [S].
    """
    diagonal, off = nodal.linear_part(circuit, siemens)
    pairs = [(e.positive, e.negative) for e in circuit.elements]
    for (p, n), g in zip(pairs, fixed, strict=True):
        diagonal[p] += g
        diagonal[n] += g
        off[elimination.slot_of(circuit.plan, p, n)] -= g
    elimination.factor(circuit.plan, diagonal, off)
    rows = []
    for p, n in pairs:
        right = [0.0] * len(diagonal)
        right[p] += 1.0
        right[n] -= 1.0
        elimination.substitute(circuit.plan, diagonal, off, right)
        right[-1] = 0.0
        rows.append([right[a] - right[b] for a, b in pairs])
    return rows


class _Cases:
    """The cases as arrays, with the inverses that are kept."""

    def __init__(self, cases: Sequence[Case]) -> None:
        import numpy as np

        tables: dict[int, list[Sequence[float]]] = {}
        for case in cases:
            tables.setdefault(id(case.ohms), [*case.ohms])
        known = {key: np.array(rows) for key, rows in tables.items()}
        self.ohms: Array = np.stack([known[id(case.ohms)] for case in cases])
        self.fixed: Array = np.array([case.fixed for case in cases])
        self.volts: Array = np.array([case.quiet_v for case in cases])
        self.groups = groups.grouped([case.parts for case in cases])
        self.failed: frozenset[int] = frozenset()
        self._kept: dict[tuple[float, bool], Array] = {}

    def laws(
        self, volts: Array, alpha: float, bases: Sequence[Array], level: float | Array
    ) -> tuple[Array, Array, list[Array]]:
        import numpy as np

        amps, slopes, states = [], [], []
        for (span, group), base in zip(self.groups, bases, strict=True):
            drawn, slope, state = group.stage(volts[:, span], alpha, base, level)
            amps.append(drawn)
            slopes.append(slope)
            states.append(state)
        return np.concatenate(amps, 1), np.concatenate(slopes, 1), states

    def settle(
        self, volts: Array, alpha: float, bases: Sequence[Array], level: float | Array
    ) -> tuple[Array, Array, list[Array]]:
        """The voltages that fit a stage, currents and states there."""
        import numpy as np

        amps, slopes, states = self.laws(volts, alpha, bases, level)
        key = (round(alpha, 12), bool(np.max(level) > 0.5))
        if key not in self._kept:
            self._kept[key] = np.linalg.inv(self._jacobian(slopes)).astype(np.float64)
        kept = self._kept[key]
        moved = np.zeros(len(volts))
        for number in range(ROUNDS):
            if number in SLOW_ROUNDS:
                slow = np.flatnonzero(np.isfinite(moved) & (moved >= SETTLED_V))
                kept[slow] = np.linalg.inv(self._jacobian(slopes, slow))
            step = (kept @ self._missed(volts, amps)[:, :, None])[:, :, 0]
            volts = volts - step
            amps, slopes, states = self.laws(volts, alpha, bases, level)
            moved = np.abs(step).max(axis=1)
            if moved.max() < SETTLED_V:
                return volts, amps, states
        return self._newton(volts, alpha, bases, level, moved)

    def _newton(
        self, volts: Array, alpha: float, bases: Sequence[Array], level: float | Array, moved: Array
    ) -> tuple[Array, Array, list[Array]]:
        import numpy as np

        left = np.array([i for i in range(len(volts)) if not moved[i] < SETTLED_V])
        left = np.array([i for i in left if i not in self.failed], dtype=int)
        volts = np.where(np.isfinite(volts), volts, self.volts)
        amps, slopes, states = self.laws(volts, alpha, bases, level)
        for number in range(NEWTON_ROUNDS):
            if not len(left):
                break
            missed = self._missed(volts, amps)[left][:, :, None]
            step = np.linalg.solve(self._jacobian(slopes, left), missed)[:, :, 0]
            most = np.abs(step).max(axis=1)
            share = np.minimum(1.0, LONGEST_STEP_V / np.maximum(most, 1e-12))
            share = share * (1.0 if number < NEWTON_ROUNDS // 3 else 0.5)
            volts[left] -= share[:, None] * step
            amps, slopes, states = self.laws(volts, alpha, bases, level)
            left = left[most >= SETTLED_V]
        self.failed |= frozenset(int(i) for i in left)
        return volts, amps, states

    def _missed(self, volts: Array, amps: Array) -> Array:
        """By how much the voltages do not fit what flows [V]."""
        rest = (amps - self.fixed * volts)[:, :, None]
        missed: Array = volts + (self.ohms @ rest)[:, :, 0]
        return missed

    def _jacobian(self, slopes: Array, rows: Rows = ALL) -> Array:
        import numpy as np

        found: Array = self.ohms[rows] * (slopes[rows] - self.fixed[rows])[:, None, :]
        index = np.arange(found.shape[1])
        found[:, index, index] += 1.0
        return found


def integrate(
    cases: Sequence[Case],
    kick: Pattern,
    times_s: Sequence[float],
    progress: Callable[[float], bool] | None = None,
) -> Trace:
    """Follow cases from rest through these moments [s], the first of them 0.

    ``progress`` is called with the share done, 0 to 1; when it returns false, ``Cancelled`` is
    raised.
    """
    import numpy as np

    with np.errstate(all="ignore"):  # of a case that fails, which is told
        return _followed(_Cases(cases), kick, times_s, progress)


def _followed(
    network: _Cases,
    kick: Pattern,
    times_s: Sequence[float],
    progress: Callable[[float], bool] | None,
) -> Trace:
    import numpy as np

    volts = network.volts.copy()
    states = [group.start(volts[:, span]) for span, group in network.groups]
    rates = [np.zeros_like(state) for state in states]
    amps, _, _ = network.laws(volts, AT_REST_S, states, 0.0)
    all_volts, all_amps = [volts], [amps]
    whole = times_s[-1]
    rise = np.zeros_like(volts)
    for begin, end in pairwise(times_s):
        if progress and not progress(begin / whole):
            raise Cancelled
        step = end - begin
        alpha = GAMMA / 2 * step
        bases = [x + alpha * f for x, f in zip(states, rates, strict=True)]
        before, ahead = volts, volts + GAMMA * step * rise  # first tries lie on straight lines
        volts, _, middle = network.settle(ahead, alpha, bases, kick.level(begin + GAMMA * step))
        ahead = before + (volts - before) / GAMMA
        bases = [
            (m - (1 - GAMMA) ** 2 * x) / (GAMMA * (2 - GAMMA))
            for m, x in zip(middle, states, strict=True)
        ]
        volts, amps, states = network.settle(ahead, alpha, bases, kick.level(end))
        rise = (volts - before) / step
        rates = [(x - base) / alpha for x, base in zip(states, bases, strict=True)]
        all_volts.append(volts)
        all_amps.append(amps)
    return Trace(list(times_s), np.stack(all_volts), np.stack(all_amps), network.failed)
