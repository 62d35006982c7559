"""Damaged cars for the checks of the diagnosis: random builds, and a nodal solver of its own.

The solver shares no code with the product's network: it writes the nodes, the laws of the
sources and loads and Newton's iteration anew from the records, over numpy's dense algebra. It
takes only the wire resistances from the plan, as the tape and the wire on the bench would give.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from random import Random

import numpy as np

from domain.build import actions, run_ends
from domain.build.choices import Meter, Polarity
from domain.build.edits import Scalar, SetField
from domain.build.records import Build
from domain.build.start import start_build
from domain.electrical import loads, sources
from domain.reference.planning import planned

Matrix = np.ndarray[tuple[int, ...], np.dtype[np.float64]]


@dataclass(frozen=True)
class Fault:
    """Extra resistance in a run (an end or its fuse) or between a ground point and the body."""

    id: str
    ohm: float


def random_car(random: Random) -> Build:
    """One to six amplifiers, one or two blocks, at times a second battery and more grounds."""
    build = start_build()
    build = _set(build, "batteries", "b1", capacity_ah=random.choice([60.0, 80.0, 100.0]))
    build = _set(build, "alternators", "g1", rated_a=random.choice([120.0, 180.0, 240.0]), hot=True)
    for _ in range(random.randint(0, 2)):
        build = actions.applied(
            build, actions.add(build, "grounds", zone=random.choice(["z2", "z3"]))
        )
    second = random.random() < 0.3
    if second:
        build = actions.applied(build, actions.add(build, "batteries", capacity_ah=70.0))
    feeds = ["d1"]
    if random.random() < 0.5:
        build = actions.applied(build, actions.add(build, "blocks", name="Second block"))
        source = "b2" if second and random.random() < 0.5 else "d1"
        build = actions.applied(build, run_ends.add_run(build, source, "d2", fused=True))
        feeds.append("d2")
    grounds = [point.id for point in build.grounds if point.id != "e1"]
    for _ in range(random.randint(1, 6)):
        build = actions.applied(
            build,
            actions.add_amplifier(
                build,
                channels=random.choice([1, 2, 4]),
                channel_w=random.choice([50.0, 75.0, 100.0, 150.0, 250.0]),
                amplifier_class=random.choice(["AB", "D", "D"]),
                regulated=random.random() < 0.8,
                lowest_v=9.0,
            ),
        )
        feed, back = build.runs[-2:]
        build = _set(build, "runs", feed.id, source=random.choice(feeds))
        build = _set(build, "runs", back.id, target=random.choice(grounds))
    for run in build.runs:
        if not run.existing:
            most = 1.0 if run.polarity is Polarity.GROUND else 5.0
            build = _set(build, "runs", run.id, length_m=round(random.uniform(0.3, most), 2))
            if random.random() < 0.15:
                build = _set(build, "runs", run.id, gauge=random.choice(["AWG 4", "AWG 1/0"]))
    return build


def random_fault(random: Random, build: Build) -> Fault:
    """A bad joint of 0.5 to 20 milliohm at a run's end, in its fuse, or at a ground point."""
    places = [*(run.id for run in build.runs), *(point.id for point in build.grounds)]
    return Fault(random.choice(places), 0.0005 * 40 ** random.random())


def node_volts(
    build: Build, run_ohm: Mapping[str, float], mode: str, fault: Fault | None
) -> dict[str, float] | None:
    """Node voltages against the body in a state [V]; ``None`` where Newton does not settle."""
    wires = [
        (id, a, b, ohm + fault.ohm if fault and fault.id == id else ohm)
        for id, a, b, ohm in _wires(build, run_ohm)
    ]
    devices = [*build.batteries, *build.alternators, *build.amplifiers]
    names = [f"{d.id}_{pole}" for d in devices for pole in ("pos", "neg")]
    names += [block.id for block in build.blocks] + [point.id for point in build.grounds]
    index = {name: i for i, name in enumerate(names)}
    size = len(names)
    fixed = np.zeros((size + 1, size + 1))
    index["body"] = size
    for _, a, b, ohm in wires:
        _stamp(fixed, index[a], index[b], 1 / ohm)
    engine, level = mode.split("-")
    # Loads of constant power may have two states: with the engine on, the one that is come to from
    # a charged battery is looked for.
    begun_v = 12.0 if engine == "off" else 14.0
    volts = np.array([begun_v if n.endswith("_pos") or n[0] == "d" else 0.0 for n in names] + [0.0])
    for turn in range(200):
        matrix, out = fixed.copy(), fixed @ volts
        for device in devices:
            p, n = index[f"{device.id}_pos"], index[f"{device.id}_neg"]
            amperes, slope = _law(build, device.id, engine, level, volts[p] - volts[n])
            # At first the loads are currents that lag one turn behind, then the full tangent.
            _stamp(matrix, p, n, max(slope, 0.0) if turn < 10 else slope)
            out[p] += amperes
            out[n] -= amperes
        step = np.linalg.solve(matrix[:size, :size], -out[:size])
        largest = float(np.abs(step).max())
        volts[:size] += step * min(1.0, (1.0 if turn < 15 else 0.05) / max(largest, 1e-12))
        if largest < 1e-9:
            return dict(zip([*names, "body"], volts.tolist(), strict=True))
    return None


def meter(build: Build, volts: Mapping[str, float], at: str, how: Meter, post: str) -> float:
    """What a perfect meter shows [V]; ``post`` is the battery that black goes to, if any."""
    if how is Meter.ALONG:
        run = next(run for run in build.runs if run.id == at)
        return abs(volts[_node(run.source, run.polarity)] - volts[_node(run.target, run.polarity)])
    if how is Meter.TO_BATTERY:
        red = f"{at}_neg" if at[0] in "abg" else at
        return volts[red] - volts[f"{post}_neg"]
    if at.startswith("d"):
        return volts[at]
    return volts[f"{at}_pos"] - volts[f"{at}_neg"]


def _set(build: Build, table: str, id: str, **values: Scalar) -> Build:
    edits = [SetField(table=table, id=id, field=k, value=v) for k, v in values.items()]
    return actions.applied(build, *edits)


def _node(device: str, side: Polarity) -> str:
    if device[0] in "abg":
        return f"{device}_pos" if side is Polarity.POSITIVE else f"{device}_neg"
    return device


def _wires(build: Build, run_ohm: Mapping[str, float]) -> list[tuple[str, str, str, float]]:
    wires = [
        (run.id, _node(run.source, run.polarity), _node(run.target, run.polarity), run_ohm[run.id])
        for run in build.runs
    ]
    for point in build.grounds:
        ohm = point.resistance_ohm or planned(f"body_ohm_{point.surface.value}")
        wires.append((point.id, point.id, "body", ohm))
    return wires


def _stamp(matrix: Matrix, a: int, b: int, g: float) -> None:
    for row, column, sign in ((a, a, 1), (b, b, 1), (a, b, -1), (b, a, -1)):
        matrix[row, column] += sign * g


def _law(build: Build, id: str, engine: str, level: str, v: float) -> tuple[float, float]:
    """Current into a device's positive terminal [A] and its slope [S]."""
    vehicle = (0.0, 0.0)
    if id == build.batteries[0].id:
        amperes = sum(g.vehicle_load_a for g in build.alternators)
        vehicle = amperes * (planned("vehicle_off_fraction") if engine == "off" else 1.0), 0.0
    for battery in build.batteries:
        if battery.id == id:
            charge = planned("state_of_charge")
            rest = sources.rest_voltage_v(battery.chemistry, charge)
            ohm = (
                sources.internal_ohm(battery) if v < rest else sources.charging_ohm(battery, charge)
            )
            return (v - rest) / ohm + vehicle[0], 1 / ohm
    for alternator in build.alternators:
        if alternator.id == id:
            if engine == "off":
                return 0.0, 1e-9
            most = sources.alternator_limit_a(alternator, engine == "idle")
            given = (alternator.regulated_v - v) / planned("alternator_droop_ohm")
            if 0 < given < most:
                return -given, 1 / planned("alternator_droop_ohm")
            return -min(max(given, 0.0), most), 1e-9
    amplifier = next(a for a in build.amplifiers if a.id == id)
    fraction = 1.0 if level == "tone" else loads.programme_fraction(build.header)
    watts = loads.rated_w(amplifier) * fraction / loads.efficiency_at(amplifier, fraction)
    low = amplifier.lowest_v
    if amplifier.regulated:
        if v >= low:
            return watts / v + amplifier.idle_a, -watts / v**2
        return (watts / low + amplifier.idle_a) * v / low, (watts / low + amplifier.idle_a) / low
    ohm = planned("design_v") ** 2 / watts
    if v >= low:
        return v / ohm + amplifier.idle_a, 1 / ohm
    return (low / ohm + amplifier.idle_a) * v / low, (low / ohm + amplifier.idle_a) / low


def with_other_loads(random: Random, build: Build, spread: float) -> Build:
    """The car with every amplifier drawing up to this share more or less than planned."""
    amplifiers = tuple(
        a.but(channel_w=a.channel_w * (1 + spread * random.uniform(-1, 1)))
        for a in build.amplifiers
    )
    return build.but(amplifiers=amplifiers)
