"""A state of the network as a SPICE netlist, so that any general circuit simulator can check it.

Node names are those of the sheet's node voltages; node 0 is the star point of the body. Runs,
ground paths and isolator contacts are resistors, batteries and alternators voltage sources
behind their resistances as they stand in the solved state, and amplifiers and the vehicle's
load are current sources of their solved current, or behavioural sources that ask for power. A node
that only current sources lead to, as the open terminal of a dead alternator, carries nothing and
has no level of its own: ``Rloose`` gives it one, so that a simulator's matrix can be solved.
"""

from collections import defaultdict
from math import inf

from domain.build.records import Build
from domain.electrical import loads, sources
from domain.electrical.network import nodal, states
from domain.reference.planning import planned
from domain.sheet import NetworkState

LOOSE_OHM = 1e9
"""Ties a node without a level of its own to node 0 [ohm]; what carries nothing loses nothing."""


def netlist(wired: states.Wired, solved: NetworkState, behavioural: bool = False) -> str:
    """The netlist of a solved state of a wired build.

    ``behavioural`` writes regulated amplifiers as ``I = P / V + idle`` instead of as their solved
    current; the simulator then has to find the working point itself.
    """
    build, state = wired.build, solved.id
    circuit, siemens = states.solved_circuit(wired, solved)

    def node(index: int) -> str:
        return "0" if index == nodal.REFERENCE else circuit.nodes[index]

    lines = [f"* {states.TITLES[state]}"]
    for (name, a, b), g in zip(circuit.branches, siemens, strict=True):
        lines.append(f"R{name} {node(a)} {node(b)} {1 / g:.12g}")
    for index in circuit.tied:
        lines.append(f"Rtie{index} {node(index)} 0 1")
    sources_of = _sources(build, state, solved.node_v, solved.battery_v, solved.alternator_a)
    takers = {t.id: t for t in loads.takers(build)}
    level = build.header, states.playing_in(state), not state.startswith("off")
    for element in circuit.elements:
        plus, minus, name = node(element.positive), node(element.negative), element.name
        if name in sources_of:
            lines += [line.format(plus=plus, minus=minus) for line in sources_of[name]]
            continue
        volts = solved.node_v[plus] - solved.node_v[minus]
        taker = takers.get(name)
        asked = loads.load_in_state(taker, *level) if taker else None
        if behavioural and asked and asked.regulated and volts > asked.lowest_v:
            power = f"{asked.power_w:.12g}/v({plus},{minus})+{asked.idle_a:.12g}"
            cap = f"min({power},{asked.cap_a:.12g})" if asked.cap_a < inf else power
            lines.append(f"B{name} {plus} {minus} I={cap}")
        else:
            lines.append(f"I{name} {plus} {minus} {element.law(volts)[0]:.12g}")
    lines += [f"Rloose_{name} {name} 0 {LOOSE_OHM:g}" for name in _loose(circuit.nodes, lines)]
    for name in circuit.nodes:
        lines.append(f".nodeset v({name})={solved.node_v[name]:.6f}")
    return "\n".join([*lines, ".op", ".end", ""])


def _loose(nodes: tuple[str, ...], lines: list[str]) -> list[str]:
    """The nodes that no resistor or voltage source joins to node 0, along any path."""
    joined: dict[str, list[str]] = defaultdict(list)
    for line in lines:
        if line[0] in "RV":
            _, one, other, *_ = line.split()
            joined[one].append(other)
            joined[other].append(one)
    reached, ahead = {"0"}, ["0"]
    while ahead:
        new = set(joined[ahead.pop()]) - reached
        reached |= new
        ahead += new
    return [name for name in nodes if name not in reached]


def _sources(
    build: Build,
    state: str,
    node_v: dict[str, float],
    battery_v: dict[str, float],
    alternator_a: dict[str, float],
) -> dict[str, list[str]]:
    """The lines of each battery and alternator, with {plus} and {minus} for its nodes."""
    charge = planned("state_of_charge")
    found = {}
    for battery in build.batteries:
        rest = sources.rest_voltage_v(battery.chemistry, charge)
        ohm = (
            sources.internal_ohm(battery)
            if battery_v[battery.id] < rest
            else sources.charging_ohm(battery, charge)
        )
        found[battery.id] = [
            f"V{battery.id} {battery.id}_emf {{minus}} {rest:.12g}",
            f"R{battery.id} {battery.id}_emf {{plus}} {ohm:.12g}",
        ]
    for alternator in build.alternators:
        limit = sources.alternator_limit_a(alternator, state.startswith("idle"))
        given = alternator_a[alternator.id]
        if 0 < given < limit * (1 - 1e-9):
            found[alternator.id] = [
                f"V{alternator.id} {alternator.id}_emf {{minus}} {alternator.regulated_v:.12g}",
                f"R{alternator.id} {alternator.id}_emf {{plus}} "
                f"{planned('alternator_droop_ohm'):.12g}",
            ]
        elif (
            node_v[f"{alternator.id}_pos"] - node_v[f"{alternator.id}_neg"]
            <= alternator.regulated_v
        ):
            found[alternator.id] = [f"I{alternator.id} {{minus}} {{plus}} {given:.12g}"]
        else:
            found[alternator.id] = [
                f"V{alternator.id} {alternator.id}_emf {{minus}} {alternator.regulated_v:.12g}",
                f"R{alternator.id} {alternator.id}_emf {{plus}} {1 / nodal.IDLE_SIEMENS:.12g}",
            ]
    return found
