"""What the inductance of wires does on the edge of a hit.

It counts there alone, and at the amplifier alone: at the lamps, and once the edge is over, the
kick's study is the same without it. So it is followed in short steps over the first edge, at the
typical values: the wires on the way to the amplifiers that play and back, once lying far from
their return and once beside it, and the capacitors at the inputs of amplifiers and of what else
draws constant power, without which a load of constant power behind an inductance is not stable.
The leads of the capacitor that is tried have none: 1 uH, the most that half a metre each way can
have, moves the lowest voltage of a hit by less than 1 mV on the demo builds, and what is left of an
edge by 6 to 17 mV; half of it, by nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from domain.electrical import inductance, loads
from domain.electrical.transient import networks, parts, remedies
from domain.electrical.transient.integrate import Case, integrate
from domain.electrical.transient.pattern import Kick
from domain.electrical.transient.results import Edge
from domain.electrical.transient.unknowns import typical
from domain.reference.planning import planned

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from domain.electrical.sizing.size_and_solve import SolvedNetwork
    from domain.electrical.transient.networks import KickNetwork

QUIET_S, AFTER_S, STEP_S = 0.001, 0.008, 2e-4
"""Before the edge, after it, and how far the moments are from each other [s]."""

WITHIN_V = 1e-3
"""The error of a step [V]: with a hundredth of it the volts that are lost move by 2 mV at most."""

NONE_H = 1e-12
"""As good as no inductance [H]."""

INPUT = ".input"
"""What the capacitor at an amplifier's input is called after its id."""


def edge(solved: SolvedNetwork, engine: str, amplifier: str) -> Edge | None:
    """What inductance adds at an amplifier and the lamps, the engine in one condition.

    ``None`` where the network has no rest or cannot carry the hit.
    """
    own = _with_wires(solved, networks.kick_network(solved, engine, remedies.AS_IT_IS))
    (case,) = networks.cases(solved, own, [typical()])
    if case is None:
        return None
    names = [port.name for port in own.ports(typical())]
    most, least = (
        {id: run_h(solved, id, of) for id in _on_the_way(solved)}
        for of in (inductance.alone_h, inductance.beside_h)
    )
    helped = parts.Capacitor(
        planned("capacitor_f"),
        typical().capacitor_ohm / planned("capacitor_f") + planned("kick_capacitor_lead_ohm"),
    )
    cases = [
        _changed(case, names, dict.fromkeys(most, NONE_H)),
        _changed(case, names, most),
        _changed(case, names, least),
        _changed(case, names, most, helped),
    ]
    rise = planned("kick_edge_s")
    until = QUIET_S + rise + AFTER_S
    times = [number * STEP_S for number in range(round(until / STEP_S) + 1)]
    trace = integrate(cases, Kick((QUIET_S,), until, rise), times, within_v=WITHIN_V)
    if trace.failed:
        return None
    at, lamps = names.index(amplifier), names.index(networks.LAMPS)
    lost = trace.volts[:, :1] - trace.volts  # against the one without
    _, most_v, least_v, capacitor_v = (float(lost[:, n, at].max()) for n in range(len(cases)))
    way = way_of(solved, amplifier)
    return Edge(
        sum(most[id] for id in way),
        sum(least[id] for id in way),
        most_v,
        least_v,
        capacitor_v,
        float(lost[:, 1, lamps].max()),
    )


def way_of(solved: SolvedNetwork, amplifier: str) -> list[str]:
    """The runs to an amplifier and back."""
    runs = (*solved.wiring.feed[amplifier].runs, *solved.wiring.ret[amplifier].runs)
    return [id for id in dict.fromkeys(runs) if id in solved.items]


def _on_the_way(solved: SolvedNetwork) -> list[str]:
    """The runs to the amplifiers that play and back."""
    every = [id for amplifier in networks.beaten(solved) for id in way_of(solved, amplifier)]
    return list(dict.fromkeys(every))


def run_h(solved: SolvedNetwork, run: str, of: Callable[[float, str], float]) -> float:
    """The inductance of a run [H]; wires that lie side by side hold the same field together."""
    return max(of(solved.items[run].wire_m, solved.sized.gauge[run]), NONE_H)


def _with_wires(solved: SolvedNetwork, network: KickNetwork) -> KickNetwork:
    """The network with these runs as parts of their own, and capacitors at the inputs."""
    own = set(_on_the_way(solved))
    laid = list(zip(network.branches, network.siemens, strict=True))
    places = [
        networks.Place(run, a, b, networks.always(parts.Wire(1 / siemens, NONE_H)))
        for (run, a, b), siemens in laid
        if run in own
    ]
    watts = _input_w(solved, network)
    for place in network.places:
        if place.name in watts:
            capacitor = parts.Capacitor(
                planned("amplifier_input_f_w") * watts[place.name],
                planned("amplifier_input_ohm_w") / watts[place.name],
            )
            made = networks.always(capacitor)
            places.append(place._replace(name=f"{place.name}{INPUT}", made=made))
    kept = [each for each in laid if each[0][0] not in own]
    return replace(
        network,
        branches=tuple(branch for branch, _ in kept),
        siemens=tuple(siemens for _, siemens in kept),
        places=networks.in_order([*network.places, *places]),
    )


def _input_w(solved: SolvedNetwork, network: KickNetwork) -> dict[str, float]:
    """By what has capacitors at its input: the watts that they are made for.

    Amplifiers, for all that they can draw, and what else draws constant power.
    """
    found = {}
    known = typical()
    for place in network.places:
        part = place.made(known)
        if isinstance(part, parts.Drawn) and part.hit.regulated:
            found[place.name] = part.hit.power_w
    for amplifier in solved.wired.build.amplifiers:
        if amplifier.id in network.played:
            found[amplifier.id] = network.played[amplifier.id][1].power_w
        elif amplifier.id in found:
            found[amplifier.id] = loads.load(amplifier, 1.0).power_w
    return {name: watts for name, watts in found.items() if watts > 0}


def _changed(
    case: Case,
    names: list[str],
    henries: Mapping[str, float],
    tried: parts.Capacitor | None = None,
) -> Case:
    """A case with other inductances, and the capacitor that is tried."""
    found: list[parts.Part] = []
    for name, part in zip(names, case.parts, strict=True):
        if isinstance(part, parts.Wire):
            found.append(replace(part, henries=henries[name]))
        else:
            found.append(tried if tried and name == networks.CAPACITOR else part)
    return replace(case, parts=found)
