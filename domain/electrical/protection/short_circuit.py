"""Bolted faults: the Thevenin source that the batteries make at any node."""

from collections.abc import Mapping, Sequence

from msgspec import Struct

from domain.build.records import Battery, Build
from domain.document.kept import kept
from domain.electrical import sources
from domain.electrical.network import elimination, nodal
from domain.reference.planning import planned


class Thevenin(Struct, frozen=True):
    """Open voltage to the body [V] and inner resistance [ohm] at a node.

    ``open_v`` are all node voltages without a fault, ``lift`` by how much each would rise for one
    ampere pushed into the node [V/A], worked out when asked.
    """

    volts: float
    ohm: float
    open_v: Sequence[float]
    lift: elimination.Column

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
    return _full_charge_ratio(build.batteries)


@kept(8)
def _full_charge_ratio(batteries: tuple[Battery, ...]) -> float:
    charge = planned("state_of_charge")
    ratios = [
        sources.rest_voltage_v(b.chemistry, 1.0) / sources.rest_voltage_v(b.chemistry, charge)
        for b in batteries
    ]
    return max(ratios, default=1.0)


def behind_fuse_a(
    near: Thevenin, far: Thevenin, ends: tuple[int, int], wire_ohm: float, fuse_ohm: float
) -> float:
    """What a wire's fuse carries into a dead short right behind it [A].

    ``near`` and ``far`` are the sources at the fuse's end of the wire and at the other one,
    ``ends`` their places among the nodes; ``wire_ohm`` is the wire with its fuse. The short parts
    it in two: the near end stands behind the fuse alone, the far end feeds the short through the
    rest of the wire, which its fuse does not see.

    Premise: the network is linear. The wire is taken out of it and the two parts are put in, by
    the voltages that they and the network share (Kirchhoff, two unknowns).
    """
    a, b = ends
    rest = max(wire_ohm - fuse_ohm, 1e-6)
    between, to_fuse, to_rest = 1 / wire_ohm, 1 / fuse_ohm, 1 / rest
    z_aa, z_ab, z_bb = near.lift[a], near.lift[b], far.lift[b]
    # v + Z M v = V, M what is drawn at either end beyond what the whole wire drew.
    m_aa, m_ab, m_bb = to_fuse - between, between, to_rest - between
    k_aa = 1 + z_aa * m_aa + z_ab * m_ab
    k_ab = z_aa * m_ab + z_ab * m_bb
    k_ba = z_ab * m_aa + z_bb * m_ab
    k_bb = 1 + z_ab * m_ab + z_bb * m_bb
    volts = (near.volts * k_bb - k_ab * far.volts) / (k_aa * k_bb - k_ab * k_ba)
    return max(volts * to_fuse, 0.0)


def greatest_a(build: Build, through_a: float) -> float:
    """Greatest current of a dead short: full batteries, and what every alternator adds [A].

    ``through_a`` is what the batteries give at the planning charge. What a fuse must be able to
    break.
    """
    alternators = sum(alternator.rated_a for alternator in build.alternators)
    return through_a * full_charge_ratio(build) + alternators


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
        at = index[name]
        lift = elimination.Column(plan, diagonal, off, at)
        found[name] = Thevenin(open_volts[at], lift[at], open_volts, lift)
    return found
