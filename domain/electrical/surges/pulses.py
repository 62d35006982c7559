"""A capacitor as the source of a short: one pulse, and nothing after it.

It gives nothing for good, so that the first proof has nothing to count, and it is empty before a
fuse that an overload would open has become warm. What it does is I^2 t, at most C V^2 / (2 R): of
1 F at 14.4 V behind 2 mohm 104 J and 52 kA2s in some 10 ms, which AWG 12 of 105 C stands (84 kA2s)
and AWG 18 does not (5.2 kA2s); of a bank of 500 F behind 1 mohm 52 kJ and 52 MA2s, which AWG 2/0
does not (35 MA2s).

A pulse that passes a wire's own fuse on its way uses up no larger a share of the wire than of the
fuse: the second proof sets the one against the other at every current, and shares of time add up
alike. So it counts where it comes in behind that fuse: along its own lead, into a feeder from the
end that it stands at, into branches of a block without fuses, and in the returns of these. There
its I^2 t comes on top of what the fuse ahead lets through of the batteries' current. A fuse on its
own way, as that of its lead, ends it.
"""

from collections.abc import Iterator, Mapping, Sequence
from math import exp, inf

from msgspec import Struct

from domain.build.choices import BlockKind, Polarity
from domain.build.records import Appliance, Build, Run
from domain.electrical import capacitors
from domain.electrical.network.converters import is_converter
from domain.electrical.network.wiring import Wiring
from domain.electrical.protection.any_short import Fuse
from domain.sheet import RunResult

STEPS, LASTS = 50, 6
"""Steps in one time constant of R and C, and time constants after which nothing is left."""


class Pulse(Struct, frozen=True):
    """A capacitor of so many farads, charged to so many volts, that empties through ``ohm``."""

    farads: float
    volts: float
    ohm: float

    @property
    def a2s(self) -> float:
        """All the I^2 t that it has [A2 s]: C V^2 / (2 R)."""
        return self.farads * self.volts**2 / (2 * self.ohm)

    def through_a2s(self, fuses: Sequence[Fuse]) -> float:
        """I^2 t that comes through fuses one after the other, each at its slowest [A2 s].

        The current falls with R C; a fuse adds up the time at each current over the longest it may
        take to open at it.
        """
        tau, first_a = self.ohm * self.farads, self.volts / self.ohm
        step = tau / STEPS
        used = [0.0] * len(fuses)
        for number in range(STEPS * LASTS if fuses else 0):
            current = first_a * exp(-(number + 0.5) / STEPS)
            rates = [1 / slowest if (slowest := f.slowest_s(current)) else inf for f in fuses]
            waits = [(1 - u) / rate for u, rate in zip(used, rates, strict=True) if rate > 0]
            wait = min(waits, default=inf)
            if wait <= step:
                return self._until(number * step + wait)
            used = [u + rate * step for u, rate in zip(used, rates, strict=True)]
        return self.a2s

    def _until(self, time_s: float) -> float:
        return self.a2s * (1 - exp(-2 * time_s / (self.ohm * self.farads)))


class Struck(Struct, frozen=True):
    """A run that a pulse comes into behind the fuse that guards it.

    ``fuses`` are the runs of those that the pulse has passed. ``beside``: what the batteries give
    comes in with it, at the same end.
    """

    run: str
    pulse: Pulse
    fuses: tuple[str, ...]
    beside: bool


def struck(
    build: Build,
    wiring: Wiring,
    runs: Mapping[str, RunResult],
    capacitor: Appliance,
    volts: float,
) -> Iterator[Struck]:
    """The runs that a capacitor's pulse may come into without their own fuse in its way.

    A short is taken at the beginning of each, where the pulse is greatest; ``volts`` is what the
    capacitor is charged to.
    """
    esr, farads = capacitors.esr_ohm(capacitor), capacitors.capacitance_f(capacitor)
    own = wiring.ret[capacitor.id].runs
    for id in own[:1]:
        yield Struck(id, Pulse(farads, volts, esr + runs[id].resistance_ohm), (), False)
    at = _joined(build, wiring)
    waiting: list[tuple[str, float, tuple[str, ...]]] = [(f"{capacitor.id}_pos", esr, ())]
    seen, passed = {waiting[0][0]}, set[str]()
    while waiting:
        here, ohm, fuses = waiting.pop(0)
        for run, there in at.get(here, ()):
            if run is None:
                more, ways = ohm, fuses
            elif run.id in passed:
                continue
            else:
                passed.add(run.id)
                near = wiring.ends[run.id][0] == here
                if not (run.fused if near else run.far_fused):
                    yield Struck(run.id, Pulse(farads, volts, ohm), fuses, near)
                    back = wiring.ret.get(there.removesuffix("_pos"))
                    for id in back.runs[:1] if back and near and there.endswith("_pos") else ():
                        rest = ohm + runs[run.id].resistance_ohm + runs[id].resistance_ohm
                        yield Struck(id, Pulse(farads, volts, rest), fuses, True)
                more = ohm + runs[run.id].resistance_ohm
                ways = (*fuses, *([run.id] if run.fused or run.far_fused else ()))
            if there not in seen:
                seen.add(there)
                waiting.append((there, more, ways))


def _joined(build: Build, wiring: Wiring) -> dict[str, list[tuple[Run | None, str]]]:
    """What leads on from each node of the plus side; no run where it is an isolator."""
    found: dict[str, list[tuple[Run | None, str]]] = {}
    pairs: list[tuple[Run | None, str, str]] = [
        (run, *wiring.ends[run.id])
        for run in build.runs
        if run.polarity is Polarity.POSITIVE and run.id in wiring.ends
    ]
    pairs += [
        (None, f"{block.id}_in", f"{block.id}_out")
        for block in build.blocks
        if block.kind is BlockKind.ISOLATOR and not is_converter(block)
    ]
    for run, a, b in pairs:
        found.setdefault(a, []).append((run, b))
        found.setdefault(b, []).append((run, a))
    return found
