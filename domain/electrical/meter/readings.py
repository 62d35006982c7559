"""What a meter should show at every useful point of the car, and how far it may be off.

A reading is a voltage between two probes: across a device's terminals (a distribution block's:
against bare body metal), along a run with both its joints and its fuse, or from a ground to
the negative post of the battery that feeds it.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import count

from msgspec import Struct

from domain.build.choices import BlockKind, Meter, NetworkMode, Polarity, shown
from domain.build.records import Battery, Build, Reading
from domain.document.records import find, label
from domain.electrical import sources
from domain.electrical.meter.probes import Kind, Places, Probes
from domain.reference.planning import planned
from domain.sheet import NetworkState, Sheet

MODES = (
    NetworkMode.CRUISE_TONE,
    NetworkMode.IDLE_TONE,
    NetworkMode.OFF_TONE,
    NetworkMode.CRUISE_PROGRAMME,
    NetworkMode.IDLE_PROGRAMME,
    NetworkMode.OFF_PROGRAMME,
)
"""States in the order of use: a steady tone (short, or into a dummy load) tells most."""


class PredictedReading(Struct, frozen=True):
    """What the meter should show at one point in one state, give or take ``tolerance_v`` [V].

    ``against`` is the battery whose negative post a reading to the battery goes to, else "".
    """

    at: str
    meter: Meter
    mode: NetworkMode
    against: str
    predicted_v: float
    tolerance_v: float
    order: int


class JudgedReading(Struct, frozen=True):
    """A typed reading beside what was predicted.

    ``difference_v`` is reading less prediction; it and ``ok`` are ``None`` while nothing is
    typed. Where nothing can be predicted, ``message`` says why and the figures are ``None``.
    ``extra_w`` is the heat that a drop greater than predicted means at the planned current
    ``through_a``: ``None`` where the reading passes or is of a supply.
    """

    id: str
    at: str
    meter: Meter
    mode: NetworkMode
    value_v: float | None
    predicted_v: float | None = None
    tolerance_v: float | None = None
    difference_v: float | None = None
    ok: bool | None = None
    message: str = ""
    through_a: float | None = None
    extra_w: float | None = None


def predicted(build: Build, sheet: Sheet) -> tuple[PredictedReading, ...]:
    """Every useful reading, state by state, each state in the order of a walk round the car.

    The walk starts at the battery post and goes outwards. A state in which the plan itself
    fails is left out, and so is a run that carries next to nothing: it has no drop to read.
    """
    places = Places(build)
    walk = []
    for at, meter in dict.fromkeys(_walk(places)):
        where = places.probes(at, meter)
        if isinstance(where, Probes):
            walk.append((at, meter, where))
    number = count(1)
    against = {at: places.against(at) for at, meter, _ in walk if meter is Meter.TO_BATTERY}
    return tuple(
        PredictedReading(
            at,
            meter,
            mode,
            against[at] if meter is Meter.TO_BATTERY else "",
            *_expected(places, state, at, where),
            next(number),
        )
        for mode in MODES
        if (state := sheet.state(mode.value)) and not _unusable(build, state)
        for at, meter, where in walk
        if _tells(build, state, at, meter)
    )


def judged(build: Build, sheet: Sheet) -> tuple[JudgedReading, ...]:
    """The build's own readings beside the predictions, in the user's order. Never raises."""
    return judged_in(build, sheet.states)


def judged_in(build: Build, states: Sequence[NetworkState]) -> tuple[JudgedReading, ...]:
    """The same from the solved states alone."""
    places, by_id = Places(build), {state.id: state for state in states}
    return tuple(_judge(places, by_id, reading) for reading in build.readings)


def _walk(places: Places) -> Iterator[tuple[str, Meter]]:
    """What is read, in order; a place may come more than once and counts the first time."""
    build, joined = places.build, places.wiring
    side = {run.id: run.polarity for run in build.runs}
    for battery in build.batteries[:1]:
        yield from _at_source(places, battery.id)
    for id, _ in joined.order:
        if side[id] is Polarity.POSITIVE and id in joined.ends:
            yield id, Meter.ALONG
            for node in joined.ends[id]:
                device = node.partition("_")[0]
                if device[0] in "bg":
                    yield from _at_source(places, device)
                    continue
                yield device, Meter.TERMINALS
                if device[0] in "av":
                    yield device, Meter.TO_BATTERY
                    for back in joined.ret[device].runs:
                        yield from _ground_run(places, back)
    for id in joined.ends:
        if side[id] is Polarity.GROUND:
            yield from _ground_run(places, id)


def _at_source(places: Places, device: str) -> Iterator[tuple[str, Meter]]:
    """A battery or alternator with its own ground cables."""
    yield device, Meter.TERMINALS
    for id, ends in places.wiring.ends.items():
        if f"{device}_neg" in ends:
            yield from _ground_run(places, id)


def _ground_run(places: Places, id: str) -> Iterator[tuple[str, Meter]]:
    yield id, Meter.ALONG
    for node in places.wiring.ends[id]:
        yield node.partition("_")[0], Meter.TO_BATTERY


def _judge(places: Places, states: Mapping[str, NetworkState], reading: Reading) -> JudgedReading:
    value = reading.value_v
    plain = reading.id, reading.at, reading.meter, reading.mode, value
    where = places.probes(reading.at, reading.meter)
    if isinstance(where, str):
        return JudgedReading(*plain, message=where)
    state = states.get(reading.mode.value)
    if state is None:
        return JudgedReading(*plain, message=f"the plan was not solved for {shown(reading.mode)}")
    why = _unusable(places.build, state)
    if why:
        return JudgedReading(*plain, message=why)
    volts, tolerance = _expected(places, state, reading.at, where)
    if value is None:
        return JudgedReading(*plain, volts, tolerance, message="not read yet")
    difference = where.shown(value) - volts
    if abs(difference) <= tolerance:
        return JudgedReading(*plain, volts, tolerance, difference, True)
    side = "more" if difference > 0 else "less"
    message = f"{abs(difference):.2f} V {side} than predicted, {tolerance:.2f} V may be"
    amps = _through_a(places.build, state, reading.at, where.kind)
    heat = None if amps is None or difference <= 0 else amps * difference
    return JudgedReading(*plain, volts, tolerance, difference, False, message, amps, heat)


def _through_a(build: Build, state: NetworkState, at: str, kind: Kind) -> float | None:
    """What flows through that over which a drop is read, as planned [A]; ``None`` of a supply."""
    if kind is Kind.SUPPLY:
        return None
    if at in state.current_a:
        return abs(state.current_a[at])
    side = Polarity.GROUND if kind is Kind.RISE else Polarity.POSITIVE
    runs = [run for run in build.runs if run.polarity is side and run.id in state.current_a]
    into = sum(state.current_a[run.id] for run in runs if run.target == at)
    out = sum(state.current_a[run.id] for run in runs if run.source == at)
    return max(abs(into), abs(out))


def _unusable(build: Build, state: NetworkState) -> str:
    """Why nothing can be predicted in a state; "" where it can."""
    if not build.alternators and not state.id.startswith("off"):
        return "the build has no alternator: read it with the engine off"
    if not state.converged:
        return "the plan has no answer in this state: see its findings first"
    if state.collapsed:
        return (
            f"the plan itself cannot pass the current in this state, {label(build, state.blame)} "
            "loses most: fix that first, or read it at the average level"
        )
    return ""


def _tells(build: Build, state: NetworkState, at: str, meter: Meter) -> bool:
    """Whether a reading tells anything in a state: something flows there.

    A current of just the least counts, as an idle amplifier draws, to what rounding leaves of it.
    """
    least = planned("reading_least_a") * (1 - 1e-9)
    if meter is Meter.ALONG:
        return abs(state.current_a[at]) >= least
    if meter is Meter.TO_BATTERY:
        touching = (run.id for run in build.runs if at in (run.source, run.target))
        return any(abs(state.current_a[run]) >= least for run in touching)
    isolator = any(b.id == at and b.kind is BlockKind.ISOLATOR for b in build.blocks)
    return not (state.id.startswith("off") and (isolator or at.startswith("g")))


def _expected(places: Places, state: NetworkState, at: str, where: Probes) -> tuple[float, float]:
    """Prediction and tolerance [V].

    Tolerance: the meter (0.5 % and two digits of 10 mV, common practice) and a share of what is
    lost on the way, for joints, warmth and loads differ; more at programme level, where the
    meter averages. A supply's own voltage adds what charge and regulator leave open. The shares
    are planning values.
    """
    volts = where.shown(where.between(state.node_v))
    tolerance = planned("reading_fraction") * abs(volts) + planned("reading_least_v")
    lost = abs(volts)
    if where.kind is Kind.SUPPLY:
        tolerance += planned("reading_source_v")
        lost = _lost_v(places, state, places.home(at), volts)
    elif where.kind is Kind.RISE and places.on_body(where):
        # Down to the body and up again: the two may cancel, what they may be off does not.
        lost = abs(state.node_v[where.red]) + abs(state.node_v[where.black])
    level = state.id.partition("-")[2]
    return volts, tolerance + planned(f"reading_spread_{level}") * lost


def _lost_v(places: Places, state: NetworkState, home: str, volts: float) -> float:
    """Lost from inside the feeding battery, or from its post while it charges, to here [V]."""
    battery = find(places.build, home)
    if not isinstance(battery, Battery):
        return 0.0
    rest = sources.rest_voltage_v(battery.chemistry, planned("state_of_charge"))
    return abs(max(rest, state.battery_v[home]) - volts)
