"""The kick drum on a build: do the lamps dim, how low does an amplifier's voltage fall, what helps.

A beat of full hits at the planned rate is followed from rest, with the engine at idle, driving and
off, for the build as it is and with each remedy, at the typical values and at draws of what nobody
knows, all of them together. Levels move with the draws; what a remedy leaves of the dip is told
draw by draw, and is what the study knows best.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from domain.electrical.charging import live_alternators, live_batteries
from domain.electrical.transient import networks, parts
from domain.electrical.transient.bursts import burst
from domain.electrical.transient.edges import edge
from domain.electrical.transient.flicker import times_noticed
from domain.electrical.transient.integrate import Cancelled, Case, Trace, integrate
from domain.electrical.transient.pattern import beat, steps
from domain.electrical.transient.remedies import AS_IT_IS, remedies
from domain.electrical.transient.results import (
    Burst,
    Condition,
    Curve,
    Dip,
    KickStudy,
    Share,
    Spread,
    Tried,
)
from domain.electrical.transient.shares import LEAST_DIP_V, NOTHING, share_of
from domain.electrical.transient.unknowns import DRAWS, corners, draws, typical

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from domain.electrical.sizing.size_and_solve import SolvedNetwork
    from domain.electrical.transient.groups import Array
    from domain.electrical.transient.pattern import Kick
    from domain.electrical.transient.remedies import Remedy

HITS = 3
"""Hits that are followed; the last beat is as good as any after it."""

SAMPLES = 256
"""Samples of a beat, for what is seen of it."""

LEAST_DRAWS, MANY_PARTS = 4, 14
"""Where there are more parts than the second, fewer draws are taken, but the first at least."""

RIVAL = 0.02
"""A remedy that leaves less than the best by this share of the dip is a rival."""

COLLAPSED = 0.5
"""Share of its voltage below which an amplifier cannot be carried."""

BACK = 0.1
"""A dip has recovered when this share of it is left."""

NETWORKS_SHARE = 0.4
"""Share of the work that goes into the networks at rest."""


class _Rows(Struct, frozen=True):
    """An engine condition and remedy: its draws and their cases, the typical one first if any."""

    engine: str
    remedy: Remedy
    draws: tuple[int, ...]
    cases: tuple[int, ...]
    corner: int
    """The first draw that is a corner of the spread: it counts for the ends, not for the middle."""

    def case_of(self, draw: int) -> int | None:
        return self.cases[self.draws.index(draw)] if draw in self.draws else None


def can_kick(solved: SolvedNetwork) -> bool:
    """Whether a battery feeds an amplifier, so that there is a kick to follow."""
    return bool(live_batteries(solved.wired.build)) and bool(networks.beaten(solved))


def kick_study(
    solved: SolvedNetwork,
    progress: Callable[[float], bool] | None = None,
    draw_count: int | None = None,
) -> KickStudy | None:
    """The study of a build; ``None`` where no battery feeds an amplifier.

    ``draw_count`` are the draws beside the typical values; without it fewer on a large build.
    ``progress`` is called with the share done, 0 to 1; when it returns false,
    ``domain.electrical.transient.integrate.Cancelled`` is raised.
    """
    if not can_kick(solved):
        return None
    build = solved.wired.build
    if draw_count is None:
        parts_there = len(networks.kick_network(solved, "off", AS_IT_IS).places)
        draw_count = max(LEAST_DRAWS, min(DRAWS, DRAWS * MANY_PARTS**2 // parts_there**2))
    unknowns = [typical(), *draws(draw_count)]
    corner = len(unknowns)
    if draw_count:
        unknowns += corners()
    engines = ("idle", "cruise", "off") if live_alternators(build) else ("off",)
    pairs = [
        (engine, remedy)
        for engine in engines
        for remedy in remedies(build)
        if engine != "off" or remedy.id != "alternator"
    ]
    rows: list[_Rows] = []
    cases: list[Case] = []
    known: dict[tuple[float, ...], list[list[float]]] = {}
    for number, (engine, remedy) in enumerate(pairs):
        if progress and not progress(NETWORKS_SHARE * number / len(pairs)):
            raise Cancelled
        network = networks.kick_network(solved, engine, remedy)
        own = networks.cases(solved, network, unknowns, known)
        standing = [(draw, case) for draw, case in enumerate(own) if case is not None]
        begin = len(cases)
        cases += [case for _, case in standing]
        numbers = tuple(range(begin, len(cases)))
        rows.append(_Rows(engine, remedy, tuple(draw for draw, _ in standing), numbers, corner))
    ports = networks.kick_network(solved, "off", AS_IT_IS).ports(typical())
    hit = networks.beaten(solved)
    hit_w = sum(full.power_w - quiet.power_w for quiet, full in hit.values())
    if not cases:
        return KickStudy(tuple(hit), next(iter(hit)), hit_w, ())
    kick = beat(HITS)
    until = kick.starts[-1] + kick.starts[1] - kick.starts[0]
    report = _after_networks(progress) if progress else None
    trace = integrate(cases, kick, steps(kick, until), report)
    fallen = _fallen(trace, [n for n, port in enumerate(ports) if port.name in hit])
    trace = replace(trace, failed=trace.failed | fallen)
    read = _Reading(solved, ports, cases, trace, kick, rows, tuple(hit))
    amplifier = read.worst_amplifier()
    conditions = tuple(read.condition(engine, amplifier) for engine in engines)
    if not conditions[0].band:
        return KickStudy(tuple(hit), amplifier, hit_w, conditions)
    sharp = edge(solved, engines[0], amplifier)
    return KickStudy(tuple(hit), amplifier, hit_w, conditions, sharp, read.burst(engines[0]))


def _fallen(trace: Trace, amplifiers: Sequence[int]) -> frozenset[int]:
    """The cases in which an amplifier falls below half of its voltage: they cannot carry the hit.

    A source gives most where half of its voltage is left (maximum power transfer): below that more
    current brings less power, and a load that asks for it has no voltage to rest at.
    """
    import numpy as np

    own = trace.volts[:, :, list(amplifiers)]
    low = (own.min(axis=0) < COLLAPSED * own[0]).any(axis=1)
    return frozenset(int(case) for case in np.flatnonzero(low))


def _after_networks(progress: Callable[[float], bool]) -> Callable[[float], bool]:
    return lambda share: progress(NETWORKS_SHARE + (1 - NETWORKS_SHARE) * share)


class _Reading(Struct, frozen=True, dict=True):
    """What is read from the trace."""

    solved: SolvedNetwork
    ports: Sequence[parts.Port]
    cases: Sequence[Case]
    trace: Trace
    kick: Kick
    rows: Sequence[_Rows]
    amplifiers: tuple[str, ...]

    def port(self, name: str) -> int:
        return next(i for i, port in enumerate(self.ports) if port.name == name)

    def worst_amplifier(self) -> str:
        """The amplifier that dips most, the build as it is, in the first condition that holds."""
        for row in self.rows:
            case = row.case_of(0)
            if row.remedy is AS_IT_IS and case is not None and case not in self.trace.failed:
                dips = {
                    id: float(self.dips([case], self.port(id))[0].max()) for id in self.amplifiers
                }
                return max(dips, key=lambda id: dips[id])
        return self.amplifiers[0]

    def spans(self) -> list[slice]:
        """The moments of each hit, from just before it to the next."""
        import numpy as np

        times = np.array(self.trace.times_s)
        at = [int(np.argmin(abs(times - start))) for start in self.kick.starts]
        return [slice(a, b + 1) for a, b in zip(at, [*at[1:], len(times) - 1], strict=True)]

    def dips(self, cases: Sequence[int], port: int) -> Array:
        """The dip of each hit of each of these cases [V]: a row a case."""
        import numpy as np

        volts = self.trace.volts[:, list(cases), port]
        found: Array = np.array(
            [volts[span][0] - volts[span].min(axis=0) for span in self.spans()]
        ).T
        return found

    def condition(self, engine: str, amplifier: str) -> Condition:
        own = [row for row in self.rows if row.engine == engine]
        plain = next(row for row in own if row.remedy is AS_IT_IS)
        tried = tuple(self.tried(row, plain, amplifier) for row in own)
        case = plain.case_of(0)
        build = self.solved.wired.build
        if case is None or case in self.trace.failed:
            return Condition(engine, tried, NOTHING, NOTHING, ())
        starter = live_batteries(build)[0].id
        feeding = self.solved.wiring.feed[amplifier].battery
        return Condition(
            engine,
            tried,
            self.share(case, self.port(networks.LAMPS), starter),
            self.share(case, self.port(amplifier), feeding),
            self.band(self.standing(plain)),
            self.rivals(own, plain),
        )

    def burst(self, engine: str) -> Burst | None:
        """The bursts of an amplifier test, at the typical values."""
        typically = {
            row.remedy.id: case
            for row in self.rows
            if row.engine == engine and (case := row.case_of(0)) is not None
        }
        if not {"none", "capacitor"} <= typically.keys():
            return None
        plain, helped = (self.cases[typically[id]] for id in ("none", "capacitor"))
        return burst(plain, helped, self.port(networks.LAMPS))

    def standing(self, row: _Rows) -> list[int]:
        """The cases of a row that the network carries, without the corners."""
        return [
            case
            for draw, case in zip(row.draws, row.cases, strict=True)
            if draw < row.corner and case not in self.trace.failed
        ]

    def rivals(self, own: Sequence[_Rows], plain: _Rows) -> tuple[str, ...]:
        """Remedies that leave less than the best one in some draw."""
        lamps = self.port(networks.LAMPS)
        left = {
            row.remedy.id: self.left(row, plain, lamps)
            for row in own
            if row is not plain and row.case_of(0) not in self.trace.failed
        }
        left = {id: found for id, found in left.items() if 0 in found}
        if not left:
            return ()
        best = min(left, key=lambda id: left[id][0])
        return tuple(
            id
            for id, found in left.items()
            if any(found[draw] < left[best].get(draw, 0.0) - RIVAL for draw in found)
        )

    def tried(self, row: _Rows, plain: _Rows, amplifier: str) -> Tried:
        case = row.case_of(0)
        if case is None or case in self.trace.failed:
            none = Spread(0.0, 0.0, 0.0)
            nothing = Dip(none, 0.0, 0.0, None)
            return Tried(row.remedy.id, False, nothing, nothing, none, none, none, (), ())
        lamps, port = self.port(networks.LAMPS), self.port(amplifier)
        cases = self.standing(row)
        found = self.left(row, plain, lamps)
        whole = list(found.values()) or [1.0]
        left = [share for draw, share in found.items() if draw < row.corner] or [1.0]
        return Tried(
            row.remedy.id,
            True,
            self.dip(cases, lamps),
            self.dip(cases, port),
            _spread(left),
            Spread(left[0], min(whole), max(whole)),
            _spread(self.noticed(cases, lamps)),
            self.curve(case, lamps),
            self.curve(case, port),
        )

    def left(self, row: _Rows, plain: _Rows, port: int) -> dict[int, float]:
        """What a remedy leaves of the dip, by draw, the typical one first; corners last."""
        pairs = [
            (draw, case, beside)
            for draw, case in zip(row.draws, row.cases, strict=True)
            if (beside := plain.case_of(draw)) is not None
            and not {case, beside} & self.trace.failed
        ]
        if not pairs:
            return {}
        with_it = self.dips([case for _, case, _ in pairs], port).max(axis=1)
        without = self.dips([beside for _, _, beside in pairs], port).max(axis=1)
        return {
            draw: float(a / b) if b > LEAST_DIP_V else 1.0
            for (draw, _, _), a, b in zip(pairs, with_it, without, strict=True)
        }

    def dip(self, cases: Sequence[int], port: int) -> Dip:
        every = self.dips(cases, port)
        number = int(every[0].argmax())
        span = self.spans()[number]
        volts = self.trace.volts[span, cases[0], port]
        before, lowest = float(volts[0]), float(volts.min())
        recovers = None
        back = before - BACK * (before - lowest)
        for at in range(int(volts.argmin()) + 1, len(volts)):
            if volts[at] >= back:
                since = (back - volts[at - 1]) / max(volts[at] - volts[at - 1], 1e-12)
                times = self.trace.times_s[span]
                moment = times[at - 1] + float(since) * (times[at] - times[at - 1])
                recovers = moment - times[0]
                break
        return Dip(_spread([float(v) for v in every.max(axis=1)]), before, lowest, recovers)

    def noticed(self, cases: Sequence[int], port: int) -> list[float]:
        import numpy as np

        period = self.kick.starts[1] - self.kick.starts[0]
        whole = self.trace.times_s
        at = whole[-1] - period + period * np.arange(SAMPLES) / SAMPLES
        waves = [np.interp(at, whole, self.trace.volts[:, case, port]) for case in cases]
        return [float(each) for each in times_noticed(np.array(waves), 1 / period)]

    def share(self, case: int, port: int, battery: str) -> Share:
        """Where the dip of the worst hit comes from, at its lowest moment."""
        span = self.spans()[int(self.dips([case], port)[0].argmax())]
        low = int(self.trace.volts[span, case, port].argmin())
        moments = span.start, span.start + low
        return share_of(self.cases[case], self.trace, case, moments, (port, self.port(battery)))

    def shown(self) -> tuple[int, float]:
        """Where the picture begins: shortly before the second hit; its place and its time."""
        begin = self.kick.starts[1] - self.kick.starts[0]
        at = next(i for i, time in enumerate(self.trace.times_s) if time >= begin)
        return at, self.trace.times_s[at]

    def curve(self, case: int, port: int) -> Curve:
        at, begin = self.shown()
        volts = self.trace.volts[at:, case, port]
        times = self.trace.times_s[at:]
        return tuple((time - begin, float(v)) for time, v in zip(times, volts, strict=True))

    def band(self, cases: Sequence[int]) -> tuple[tuple[float, float, float], ...]:
        at, begin = self.shown()
        volts = self.trace.volts[at:, list(cases), self.port(networks.LAMPS)]
        times = self.trace.times_s[at:]
        return tuple(
            (time - begin, float(v.min()), float(v.max()))
            for time, v in zip(times, volts, strict=True)
        )


def _spread(values: Sequence[float]) -> Spread:
    """The first value, which is the typical one, and the tenth and ninetieth percentile."""
    import numpy as np

    low, high = np.percentile(values, (10, 90))
    return Spread(values[0], float(low), float(high))
