"""The circumstances that a short may meet: sources weak or strong, wires warm or cold.

Weak: batteries at the planning charge and their greatest resistance, wires at the mean of class and
limit temperature, fuses at their drop. Strong: full batteries at their least resistance, wires
at 20 C, fuses at 0.7 of their drop (typical). Each with the alternators giving their all and
with none, isolators closed and open. With the engine off the weak ones also with all that plays at
full output, which returns through the grounds beside a short.
"""

from collections.abc import Mapping
from itertools import product
from math import inf

from domain.build.records import Build
from domain.electrical import ampacity, conductors, fuses, sources
from domain.electrical.network import system
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.protection.cut_network import CutNetwork, Link, Segment
from domain.electrical.protection.fault_cases import Case, Supply, isolators_of
from domain.electrical.protection.withstand import limit_c
from domain.reference.planning import planned

COLD_C = 20.0
MOST_ISOLATORS = 3
"""Up to so many isolators every combination is looked at; beyond, all closed and all open."""


def edge_ohm(
    net: CutNetwork,
    build: Build,
    items: Mapping[str, Conductor],
    gauge: Mapping[str, str],
    fuse_a: Mapping[str, float],
    weak: bool,
) -> dict[str, float]:
    """Resistance of every edge, by id [ohm]: wire with its joints, fuse, isolator, body."""
    points = {point.id: point for point in build.grounds}
    per_m: dict[str, float] = {}
    found: dict[str, float] = {}
    joint = planned("joint_ohm")
    drop_share = 1.0 if weak else 0.7
    edges = (
        *net.positive.edges,
        *(twig.edge for twig in net.positive.twigs),
        *net.ground.edges,
        *(twig.edge for twig in net.ground.twigs),
    )
    for edge in edges:
        if isinstance(edge, Link):
            found[edge.id] = (
                planned("isolator_ohm")
                if edge.isolator
                else system.body_ohm(points[edge.id])
                if edge.id in points
                else planned("isolator_ohm")
            )
            continue
        ohm = 0.0
        if isinstance(edge, Segment):
            item = items[edge.run]
            if edge.run not in per_m:
                per_m[edge.run] = _per_m(item, gauge[edge.run], weak)
            ohm = per_m[edge.run] * edge.length_m
        elif 0 < fuse_a.get(edge.run, inf) < inf:
            ohm = fuses.resistance_ohm(fuse_a[edge.run]) * drop_share
        ohm += joint * sum("~" not in node for node in (edge.a, edge.b))
        found[edge.id] = ohm
    return found


def _per_m(item: Conductor, gauge: str, weak: bool) -> float:
    """Resistance of a run's wire [ohm/m], warm as in a fault or cold."""
    celsius = COLD_C
    if weak:
        _, class_c, _ = ampacity.base_ampacity(gauge, item.run.insulation)
        celsius = (class_c + limit_c(item.run.insulation)) / 2
    ohm = conductors.resistance_ohm(gauge, item.run.metal, 1.0, celsius)
    if item.measured_mm2:
        ohm *= conductors.area_mm2(gauge) / item.measured_mm2
    return ohm


def supplies(build: Build, weak: bool, alternators: bool) -> dict[str, Supply]:
    """The sources of a build in one case, by id."""
    found = {}
    charge = planned("state_of_charge") if weak else 1.0
    for b in build.batteries:
        ohm = sources.spread(b)[1 if weak else 0]
        volts = sources.rest_voltage_v(b.chemistry, charge)
        taking = max(sources.charging_ohm(b, planned("state_of_charge")), ohm)
        found[b.id] = Supply(b.id, volts, ohm, taking)
    for g in build.alternators:
        if alternators and g.rated_a > 0:
            droop = planned("alternator_droop_ohm")
            found[g.id] = Supply(g.id, g.regulated_v, droop, droop, g.rated_a)
    return found


def cases(
    build: Build,
    net: CutNetwork,
    items: Mapping[str, Conductor],
    gauge: Mapping[str, str],
    fuse_a: Mapping[str, float],
    tone_a: Mapping[str, float] | None = None,
) -> tuple[Case, ...]:
    """Every case of a build: weak and strong, with and without alternators, isolators both ways.

    ``tone_a`` is what loads take at full output, by id [A]; without it none is at work.
    """
    found = []
    playing = _playing(net, tone_a or {})
    isolators = isolators_of(net)
    if len(isolators) <= MOST_ISOLATORS:
        opened = [
            frozenset(id for id, shut in zip(isolators, closed, strict=True) if not shut)
            for closed in product((True, False), repeat=len(isolators))
        ]
    else:
        opened = [frozenset(), frozenset(isolators)]
    running = (True, False) if any(g.rated_a > 0 for g in build.alternators) else (False,)
    for weak in (True, False):
        ohm = edge_ohm(net, build, items, gauge, fuse_a, weak)
        for alternators in running:
            given = supplies(build, weak, alternators)
            for open_ones in opened:
                title = "batteries weak" if weak else "batteries full"
                title += ", engine running" if alternators else ", engine off"
                if isolators:
                    title += ", isolator open" if open_ones else ", isolator closed"
                found.append(Case(title, given, ohm, open_ones))
                if weak and playing and not alternators:
                    found.append(Case(f"{title}, full output", given, ohm, open_ones, playing))
    return tuple(found)


def _playing(
    net: CutNetwork, tone_a: Mapping[str, float]
) -> tuple[tuple[str, str, str, float], ...]:
    """The loads at full output, by id, as resistances between nodes of the core [ohm]."""
    found = []
    for load in net.loads:
        ends = (
            net.positive.root.get(load.positive, load.positive),
            net.ground.root.get(load.negative, load.negative),
        )
        amperes = tone_a.get(load.id, 0.0)
        if amperes > 0 and ends[0] in net.positive.core and ends[1] in net.ground.core:
            found.append((load.id, *ends, planned("design_v") / amperes))
    return tuple(found)
