"""The drive profile: the network solved step by step while the batteries charge and drain."""

from collections.abc import Callable, Collection, Mapping
from math import ceil, inf

from domain.build.choices import Engine, Playing
from domain.build.records import Battery, Build, Leg
from domain.electrical import loads, sources
from domain.electrical.network import converters, nodal, states, system
from domain.electrical.network.relays_in_time import Relays
from domain.electrical.network.states import Wired
from domain.reference.planning import planned
from domain.sheet import DrivePoint, DriveResult

STEP_S = 10.0
MOST_STEPS = 3600
"""A profile is cut into steps of ten seconds, longer ones where that would be more than this
(and at most one step a leg on top, so that each leg ends on a step)."""


LEAST_GIVEN_A = 0.01
"""A battery that gives less than this is not being drained [A]."""

MOST_PARTS = 8
"""A step is cut where a battery is full or empty, or a relay joins or parts: in no more parts."""


class Cancelled(Exception):
    """The simulation was stopped by whoever watched its progress."""


def step_s(legs: tuple[Leg, ...]) -> float:
    """Length of a step for these legs [s]."""
    total = sum(leg.duration_s for leg in legs)
    return max(STEP_S, total / MOST_STEPS)


def simulate(
    wired: Wired,
    progress: Callable[[float], bool] | None = None,
    charge: dict[str, float] | None = None,
) -> DriveResult:
    """Simulate the build's legs one after the other.

    ``charge`` is each battery's state of charge at the start (0 to 1; else the planning value).
    ``progress`` is called with the share done, 0 to 1; when it returns false, ``Cancelled`` is
    raised. Each step holds its currents. A battery loses the more the faster it is drained, and
    keeps a share of what charges it (``sources.charge_rate``): charge in less charge out less what
    is lost is exactly what is stored. An empty battery gives no more, a full one takes no more.
    Relays that join by voltage begin parted, and join and part after their times.
    """
    build = wired.build
    whole = step_s(build.legs)
    stored = _Stored(build.batteries, charge or {})
    stops: dict[str, float] = {}
    total = sum(leg.duration_s for leg in build.legs)
    points: list[DrivePoint] = []
    start_volts = system.start_volts(wired.wiring, states.highest_v(build))
    chargers, relays = converters.converters(build), Relays(build)
    time = 0.0
    for leg in build.legs:
        knees = _knees(build, leg)
        siemens: dict[frozenset[str] | None, list[float]] = {}
        count = ceil(leg.duration_s / whole - 1e-9)
        step = leg.duration_s / count
        for _ in range(count):
            if progress and not progress(time / total):
                raise Cancelled
            left, told = step, len(points)
            for part in range(MOST_PARTS):
                laws = _laws(build, leg) | {
                    b.id: _battery_law(b, stored.at[b.id]) for b in build.batteries
                }
                now = system.with_laws(wired.circuit, laws, knees)
                parted = relays.parted
                if parted not in siemens:
                    siemens[parted] = _siemens(wired, leg, parted)
                solution, now = converters.settled(chargers, now, siemens[parted], start_volts)
                changes_s = relays.seen(dict(zip(now.nodes, solution.volts, strict=True)))
                if changes_s > 0 or part == MOST_PARTS - 1:
                    into = _into(now, solution, stored.at)
                    if len(points) == told:
                        points.append(_point(build, now, solution, time, leg, stored.at))
                        if leg.engine is Engine.OFF:
                            _note_stops(stops, into, stored.at, time)
                    most = left if part == MOST_PARTS - 1 else min(left, changes_s)
                    changes_s = stored.flow(
                        {id: amperes for id, (amperes, _) in into.items()},
                        *(most, part < MOST_PARTS - 1),
                    )
                    left -= changes_s
                relays.after(changes_s)
                if left <= 0:
                    break
            time += step
    if progress:
        progress(1.0)
    return DriveResult(
        step_s=whole,
        points=tuple(points),
        charged_ah=stored.came_ah,
        discharged_ah=stored.went_ah,
        lost_ah=stored.lost_ah,
        stored_ah=stored.more_ah(),
        stops_s=stops,
    )


class _Stored:
    """What is in the batteries, by id (0 to 1), and what came, went and was lost [Ah]."""

    def __init__(self, batteries: tuple[Battery, ...], charge: Mapping[str, float]) -> None:
        self._batteries = {b.id: b for b in batteries}
        self.at = {b.id: charge.get(b.id, planned("state_of_charge")) for b in batteries}
        self._start = dict(self.at)
        self.came_ah, self.went_ah, self.lost_ah = (dict.fromkeys(self.at, 0.0) for _ in range(3))

    def flow(self, into_a: Mapping[str, float], most_s: float, cut: bool) -> float:
        """Let these currents into batteries flow; for how long [s].

        ``cut``: until a battery is full or empty, where that is before ``most_s`` is over.
        """
        rates = {
            id: sources.charge_rate(self._batteries[id], amperes) for id, amperes in into_a.items()
        }
        ends = {id: _until_full_or_empty(self.at[id], rate) for id, rate in rates.items()}
        held = min([most_s, *ends.values()]) if cut else most_s
        for id, rate in rates.items():
            after = self.at[id] + rate * held
            if held < most_s and ends[id] == held:
                after = round(after)
            after = min(max(after, 0.0), 1.0)
            flowed = into_a[id] * held / 3600
            self.came_ah[id] += max(flowed, 0.0)
            self.went_ah[id] += max(-flowed, 0.0)
            self.lost_ah[id] += flowed - (after - self.at[id]) * self._batteries[id].capacity_ah
            self.at[id] = after
        return held

    def more_ah(self) -> dict[str, float]:
        """What is in them more than at the start [Ah]."""
        return {
            id: (charge - self._start[id]) * self._batteries[id].capacity_ah
            for id, charge in self.at.items()
        }


def _into(
    circuit: nodal.Circuit, solution: nodal.Solution, batteries: Collection[str]
) -> dict[str, tuple[float, float]]:
    """Current into each battery [A], and its voltage [V]."""
    across = zip(circuit.elements, solution.element_a, solution.element_v, strict=True)
    return {e.name: (amperes, volts) for e, amperes, volts in across if e.name in batteries}


def _note_stops(
    stops: dict[str, float],
    into: Mapping[str, tuple[float, float]],
    charge: Mapping[str, float],
    time: float,
) -> None:
    for id, (current, volts) in into.items():
        if _should_stop(-current, volts, charge[id]):
            stops.setdefault(id, time)


def _should_stop(given_a: float, volts: float, charge: float) -> bool:
    """Whether a battery gives while it is half empty, or at or below the cut-off voltage."""
    low = charge <= sources.HALF or volts <= planned("cut_off_v")
    return given_a > LEAST_GIVEN_A and low


def _until_full_or_empty(charge: float, rate: float) -> float:
    """Seconds until a battery is full or empty at this rate of charge [1/s]; infinite if never."""
    if rate > 0 and charge < 1:
        return (1 - charge) / rate
    if rate < 0 and charge > 0:
        return charge / -rate
    return inf


def _battery_law(battery: Battery, charge: float) -> nodal.Law:
    rest = sources.rest_voltage_v(battery.chemistry, min(max(charge, 0.0), 1.0))
    gives = sources.internal_ohm(battery) if charge > 0 else 1 / nodal.BLEED_SIEMENS
    takes = sources.charging_ohm(battery, charge) if charge < 1 else 1 / nodal.BLEED_SIEMENS
    return nodal.battery_law(rest, gives, takes)


def _state(leg: Leg) -> str:
    """The state whose resistances a leg uses."""
    level = "tone" if leg.playing is Playing.TONE else "programme"
    return f"{leg.engine.value}-{level}"


def _laws(build: Build, leg: Leg) -> dict[str, nodal.Law]:
    found = states.laws(build, _state(leg))
    if leg.playing is Playing.SILENT:
        found |= system.load_laws(build, Playing.SILENT, leg.engine is not Engine.OFF)
    return found


def _knees(build: Build, leg: Leg) -> dict[str, tuple[float, ...]]:
    return states.knees(build, _state(leg))


def _siemens(wired: Wired, leg: Leg, parted: frozenset[str] | None) -> list[float]:
    ohms = wired.tone_ohm if leg.playing is Playing.TONE else wired.programme_ohm
    closed = leg.engine is not Engine.OFF
    return system.siemens(wired.build, wired.wiring, ohms, closed, True, parted)


def _point(
    build: Build,
    circuit: nodal.Circuit,
    solution: nodal.Solution,
    time: float,
    leg: Leg,
    stored: dict[str, float],
) -> DrivePoint:
    across = {
        e.name: (v, i)
        for e, v, i in zip(circuit.elements, solution.element_v, solution.element_a, strict=True)
    }
    volts = {a.id: across[a.id][0] for a in loads.takers(build)}
    first = build.batteries[0].id if build.batteries else ""
    return DrivePoint(
        time_s=time,
        leg=leg.id,
        post_v=across[first][0] if first else 0.0,
        lowest_v=min(volts.values(), default=None),
        charge=dict(stored),
        alternator_a=sum(-across[g.id][1] for g in build.alternators if g.id in across),
        battery_a=sum(-across[b.id][1] for b in build.batteries),
        given_a={b.id: -across[b.id][1] for b in build.batteries},
        load_a=sum(across[a.id][1] for a in loads.takers(build)),
        off=tuple(a.id for a in loads.takers(build) if volts[a.id] < a.lowest_v - 1e-9),
    )
