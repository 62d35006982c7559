"""Many cases of one network followed in time together, by TR-BDF2.

Each step is a trapezoidal stage and a backward one of second order (gamma = 2 - sqrt 2), both with
the same alpha = gamma h / 2; the method is of second order and damps what is faster than a step
(Bank et al. 1985, from memory). Where it is told what error a step may have, it chooses how long
each is; without inductance the fixed steps of the kick do.

Conductances are eliminated once: what is left are the voltages across the ports,
v = -Z (i(v) - g v), found with few inverses (``inverses``), and by Newton's method case by case
where that does not settle. Cases share their ports and the moments, not their values: one pass
follows them all.
"""

from __future__ import annotations

from itertools import pairwise
from math import inf, sqrt
from typing import TYPE_CHECKING

from msgspec import Struct

from domain.electrical.network import elimination, nodal
from domain.electrical.transient import groups, parts
from domain.electrical.transient.inverses import Ohms

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from domain.electrical.transient.groups import Array, Stage
    from domain.electrical.transient.pattern import Pattern

GAMMA = 2 - sqrt(2)

SETTLED_V, SHRINKS = 1e-7, 0.01
"""A round that moves no port by more than the first has settled [V]. One that moves some further
has settled where the next would move none by more than the second as a share of that: each by as
much less again as this round moved it less than the one before."""

LEAST_V = 1e-12
"""What a port has moved by is not told from nothing below this [V]."""

ROUNDS, NEWTON_ROUNDS = 12, 60
"""Rounds with kept inverses; rounds of Newton's method after that, for cases that need it."""

AT_REST_S = 1e-9
"""The stage in which currents at rest are read: next to no time [s]."""

ERROR = (-3 * GAMMA**2 + 4 * GAMMA - 2) / (6 * (2 - GAMMA))
"""The error of a step by the rates of a state at its begin, between and at its end, as a share of
its length: what a rule of third order through the three would add (Bank et al. 1985; Hosea and
Shampine 1996, from memory)."""

MOST_HALVINGS = 20
"""Of the way between two moments; a step so short is taken whatever its error."""

STEPS_A_MOMENT, LEAST_STEPS = 20, 500
"""Steps that are tried for each moment on the average, and in all, at most. What needs more is not
stable: a load of constant power behind an inductance, without a capacitor."""

WELL_WITHIN = 16
"""A step with so much less error than it may have is doubled, which brings eight times as much."""

LONGEST_STEP_V = 1.0
"""A round of Newton's method moves no port by more than this [V]."""


class Cancelled(Exception):
    """Stopped by whoever watched the progress."""


class Case(Struct, frozen=True):
    """One case: resistances seen at the ports [ohm], the parts there, and their volts at rest.

    ``fixed`` are the conductances that were put into the network for each port [S].
    """

    ohms: Sequence[Sequence[float]]
    fixed: Sequence[float]
    parts: Sequence[parts.Part]
    quiet_v: Sequence[float]


class Trace(Struct, frozen=True):
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

        self.ohms = Ohms(_shared(cases), np.array([case.fixed for case in cases]))
        self.volts: Array = np.array([case.quiet_v for case in cases])
        self.groups = groups.grouped([case.parts for case in cases])
        self.failed: frozenset[int] = frozenset()

    def standing(self) -> NDArray[np.bool_]:
        """The cases that have not failed."""
        import numpy as np

        found = np.ones(len(self.volts), dtype=bool)
        if self.failed:
            found[list(self.failed)] = False
        return found

    def stages(self, alpha: float, bases: Sequence[Array], level: float | Array) -> list[Stage]:
        """What each group takes in a stage."""
        own = zip(self.groups, bases, strict=True)
        return [group.stage(alpha, base, level) for (_, group), base in own]

    def laws(self, volts: Array, stages: Sequence[Stage]) -> tuple[Array, Array, list[Array]]:
        """Currents, slopes and states at these voltages."""
        import numpy as np

        own = zip(self.groups, stages, strict=True)
        amps, slopes, states = zip(*(at(volts[:, span]) for (span, _), at in own), strict=True)
        return np.concatenate(amps, 1), np.concatenate(slopes, 1), list(states)

    def settle(
        self, volts: Array, alpha: float, bases: Sequence[Array], level: float | Array
    ) -> tuple[Array, Array, list[Array]]:
        """The voltages that fit a stage, currents and states there."""
        import numpy as np

        stages = self.stages(alpha, bases, level)
        amps, slopes, states = self.laws(volts, stages)
        key = _key(alpha, level)
        standing = self.standing()
        steps = self.ohms.steps(key, slopes, standing)
        left = standing
        last: Array | None = None
        for _ in range(ROUNDS):
            step = steps.step(volts, amps)
            volts = volts - step
            amps, slopes, states = self.laws(volts, stages)
            moved = np.abs(step)
            changed = steps.changed(slopes) & standing
            left = moves_on(moved, last) & standing | changed
            if not left.any():
                return volts, amps, states
            last = moved
            if changed.any():
                steps = self.ohms.steps(key, slopes, standing)
                last = None
        return self._newton(volts, stages, np.flatnonzero(left))

    def _newton(
        self, volts: Array, stages: Sequence[Stage], left: NDArray[np.intp]
    ) -> tuple[Array, Array, list[Array]]:
        """The same for the cases that are left, each with its own tangent at each step."""
        import numpy as np

        volts = np.where(np.isfinite(volts), volts, self.volts)
        amps, slopes, states = self.laws(volts, stages)
        for number in range(NEWTON_ROUNDS):
            if not len(left):
                break
            missed = self.ohms.missed(volts, amps)[left][:, :, None]
            step = np.linalg.solve(self.ohms.jacobian(slopes, left), missed)[:, :, 0]
            most = np.abs(step).max(axis=1)
            share = np.minimum(1.0, LONGEST_STEP_V / np.maximum(most, 1e-12))
            share = share * (1.0 if number < NEWTON_ROUNDS // 3 else 0.5)
            volts[left] -= share[:, None] * step
            amps, slopes, states = self.laws(volts, stages)
            left = left[most >= SETTLED_V]
        self.failed |= frozenset(int(i) for i in left)
        return volts, amps, states

    def moved(
        self, volts: Array, alpha: float, bases: Sequence[Array], level: float | Array
    ) -> dict[int, float]:
        """By how much other bases of a stage would move a port at most [V]: cases that stand."""
        import numpy as np

        amps, slopes, _ = self.laws(volts, self.stages(alpha, bases, level))
        steps = self.ohms.steps(_key(alpha, level), slopes, self.standing(), fresh=True)
        most = np.abs(steps.step(volts, amps)).max(axis=1)
        return {case: float(v) for case, v in enumerate(most) if case not in self.failed}


def moves_on(moved: Array, last: Array | None) -> NDArray[np.bool_]:
    """The cases that have not settled, by what a round and the last one moved each port by [V]."""
    import numpy as np

    left: NDArray[np.bool_] = ~(moved.max(axis=1) < SETTLED_V)
    if last is not None and left.any():
        ahead = moved * moved / np.maximum(last, LEAST_V)
        left &= ~(ahead.max(axis=1) < SHRINKS * SETTLED_V)
    return left


def _key(alpha: float, level: float | Array) -> tuple[float, bool]:
    import numpy as np

    return round(alpha, 12), bool(np.max(level) > 0.5)


def _shared(cases: Sequence[Case]) -> list[tuple[slice, Array]]:
    """The cases that share their resistances, and these."""
    import numpy as np

    begins = [n for n, case in enumerate(cases) if not n or case.ohms is not cases[n - 1].ohms]
    return [(slice(a, b), np.array(cases[a].ohms)) for a, b in pairwise([*begins, len(cases)])]


def integrate(
    cases: Sequence[Case],
    kick: Pattern,
    times_s: Sequence[float],
    progress: Callable[[float], bool] | None = None,
    within_v: float = inf,
) -> Trace:
    """Follow cases from rest through these moments [s], the first of them 0.

    Between two moments it takes as many steps as keep the error of each within ``within_v`` [V] at
    every port; without it one. Cases that would need far too many have failed. ``progress`` is
    called with the share done, 0 to 1; when it returns false, ``Cancelled`` is raised.
    """
    import numpy as np

    with np.errstate(all="ignore"):  # of a case that fails, which is told
        network = _Cases(cases)
        now = _at_rest(network)
        found = [now]
        steps = max(LEAST_STEPS, STEPS_A_MOMENT * len(times_s))
        paced = _Paced(network, kick, within_v, steps)
        for begin, end in pairwise(times_s):
            if progress and not progress(begin / times_s[-1]):
                raise Cancelled
            if within_v == inf:
                now = _step(network, kick, now, begin, end - begin)[0]
            else:
                now = paced.on(now, begin, end)
            found.append(now)
    volts, amps = np.stack([each.volts for each in found]), np.stack([each.amps for each in found])
    return Trace(list(times_s), volts, amps, network.failed)


class _Now(Struct, frozen=True):
    """A moment: voltages, currents, states and what they change by in a second; so the voltages."""

    volts: Array
    amps: Array
    states: list[Array]
    rates: list[Array]
    rise: Array


def _at_rest(network: _Cases) -> _Now:
    import numpy as np

    volts = network.volts.copy()
    states = [group.start(volts[:, span]) for span, group in network.groups]
    amps, _, _ = network.laws(volts, network.stages(AT_REST_S, states, 0.0))
    return _Now(volts, amps, states, [np.zeros_like(x) for x in states], np.zeros_like(volts))


def _step(
    network: _Cases, kick: Pattern, now: _Now, begin: float, step: float, look: bool = False
) -> tuple[_Now, dict[int, float]]:
    """One step; where it is asked for, its error [V] in the cases that stand."""
    alpha = GAMMA / 2 * step
    bases = [x + alpha * f for x, f in zip(now.states, now.rates, strict=True)]
    ahead = now.volts + GAMMA * step * now.rise  # first tries lie on straight lines
    volts, _, middle = network.settle(ahead, alpha, bases, kick.level(begin + GAMMA * step))
    between = [(m - base) / alpha for m, base in zip(middle, bases, strict=True)]
    ahead = now.volts + (volts - now.volts) / GAMMA
    bases = [
        (m - (1 - GAMMA) ** 2 * x) / (GAMMA * (2 - GAMMA))
        for m, x in zip(middle, now.states, strict=True)
    ]
    level = kick.level(begin + step)
    volts, amps, states = network.settle(ahead, alpha, bases, level)
    rates = [(x - base) / alpha for x, base in zip(states, bases, strict=True)]
    found = _Now(volts, amps, states, rates, (volts - now.volts) / step)
    if not look:
        return found, {}
    off = [
        base + ERROR * step * (a / GAMMA - m / (GAMMA * (1 - GAMMA)) + b / (1 - GAMMA))
        for base, a, m, b in zip(bases, now.rates, between, rates, strict=True)
    ]
    return found, network.moved(volts, alpha, off, level)


class _Paced:
    """Steps whose error is small enough: each is half, a quarter and so on of the way between two
    moments, and the way after begins with steps as short as the last."""

    def __init__(self, network: _Cases, kick: Pattern, within_v: float, steps: int) -> None:
        self.network, self.kick, self.within_v = network, kick, within_v
        self.left = steps
        self.halvings = 0

    def on(self, now: _Now, begin: float, end: float) -> _Now:
        """From a moment to the next."""
        whole = 1 << MOST_HALVINGS
        done = 0
        longer: tuple[_Now, dict[int, float], int] | None = None
        while done < whole:
            size = whole >> self.halvings
            failed = self.network.failed
            at, step = begin + (end - begin) * done / whole, (end - begin) * size / whole
            found, errors = _step(self.network, self.kick, now, at, step, look=True)
            self.left -= 1
            over = frozenset(case for case, error in errors.items() if error > self.within_v)
            lost = self.network.failed != failed
            if over or lost:
                if not lost:
                    longer = found, errors, self.halvings
                if self.left > 0 and self.halvings < MOST_HALVINGS:
                    self.network.failed = failed
                    self.halvings += 1
                    continue
                if lost and longer is not None:
                    # Where contacts close, a step can be too short to be found.
                    self.network.failed = failed
                    found, errors, self.halvings = longer
                    size = whole >> self.halvings
                if self.left <= 0:
                    self.network.failed |= over
            now, done, longer = found, done + size, None
            most = max(errors.values(), default=0.0)
            if most < self.within_v / WELL_WITHIN and self.halvings and done % (2 * size) == 0:
                self.halvings -= 1
        return now
