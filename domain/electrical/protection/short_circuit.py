"""Bolted faults: the Thevenin source that the batteries make at any node."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from domain.build.records import Build
from domain.electrical import sources
from domain.electrical.network import elimination, nodal
from domain.reference.planning import planned


@dataclass(frozen=True, slots=True)
class Thevenin:
    """Open voltage to the body [V] and inner resistance [ohm] at a node.

    ``open_v`` are all node voltages without a fault, ``lift`` by how much each would rise for one
    ampere pushed into the node [V/A].
    """

    volts: float
    ohm: float
    open_v: Sequence[float]
    lift: Sequence[float]

    def fault_a(self, more_ohm: float = 0.0) -> float:
        """Current into a dead short to the body behind ``more_ohm`` of wire and fuse [A]."""
        return self.volts / max(self.ohm + more_ohm, 1e-9)

    def through_a(self, a: int, b: int, siemens: float) -> float:
        """What a branch between two nodes carries into a dead short at this node [A]."""
        fault = self.fault_a()
        across = self.open_v[a] - self.open_v[b] - (self.lift[a] - self.lift[b]) * fault
        return abs(across * siemens)


def full_charge_ratio(build: Build) -> float:
    """Rest voltage of full batteries over that at the planning charge, the largest of them."""
    charge = planned("state_of_charge")
    ratios = [
        sources.rest_voltage_v(b.chemistry, 1.0) / sources.rest_voltage_v(b.chemistry, charge)
        for b in build.batteries
    ]
    return max(ratios, default=1.0)


def greatest_a(build: Build, seen: Thevenin, more_ohm: float, back_a: float = 0.0) -> float:
    """Greatest current into a dead short: full batteries, and what every alternator adds [A].

    What a fuse must be able to break. ``back_a`` is what of it comes back through the fuse's own
    run and not through the fuse.
    """
    alternators = sum(alternator.rated_a for alternator in build.alternators)
    through = max(seen.fault_a(more_ohm) - back_a, 0.0)
    return through * full_charge_ratio(build) + alternators


def thevenin(
    build: Build,
    circuit: nodal.Circuit,
    siemens: Sequence[float],
    wanted: Sequence[str],
    strong: bool = False,
) -> Mapping[str, Thevenin]:
    """The source at each wanted node: batteries behind their resistance, no loads.

    An alternator adds no more than its rated current and is left out: what is wanted is the
    least current that must still open a fuse. ``siemens`` are the circuit's branch conductances.
    ``strong``: batteries at the least internal resistance that theirs may be.
    """
    plan = circuit.plan
    diagonal, off = nodal.linear_part(circuit, siemens)
    right = [0.0] * plan.nodes
    laws = {
        b.id: (
            sources.rest_voltage_v(b.chemistry, planned("state_of_charge")),
            1 / (sources.spread(b)[0] if strong else sources.internal_ohm(b)),
        )
        for b in build.batteries
    }
    for element in circuit.elements:
        volts, slope = laws.get(element.name, (0.0, nodal.BLEED_SIEMENS))
        p, n = element.positive, element.negative
        diagonal[p] += slope
        diagonal[n] += slope
        off[elimination.slot_of(plan, p, n)] -= slope
        right[p] += volts * slope
        right[n] -= volts * slope
    elimination.factor(plan, diagonal, off)
    open_volts = elimination.substitute(plan, diagonal, off, right)
    index = {name: i for i, name in enumerate(circuit.nodes)}
    found = {}
    for name in wanted:
        unit = [0.0] * plan.nodes
        unit[index[name]] = 1.0
        lift = elimination.substitute(plan, diagonal, off, unit)
        found[name] = Thevenin(open_volts[index[name]], lift[index[name]], open_volts, lift)
    return found
