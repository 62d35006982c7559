"""A solved network to look at: what flows at a node, and what holds the node where it is."""

from collections.abc import Mapping

from msgspec import Struct

from domain.electrical.network import nodal
from domain.workings.working import Input

TIE_SIEMENS = 1.0
"""What ties a part of the network that nothing joins to the chassis [S]."""


class NodeFlow(Struct, frozen=True):
    """What leaves a node through one path: current [A], conductance [S], Norton current [A].

    The current at a node voltage v is ``siemens * v - norton_a``.
    """

    name: str
    amperes: float
    siemens: float
    norton_a: float


class SolvedCircuit(Struct, frozen=True):
    """A circuit with its branch conductances [S] and node voltages [V]."""

    circuit: nodal.Circuit
    siemens: tuple[float, ...]
    volts: Mapping[str, float]

    def node(self, index: int) -> float:
        """Voltage of a node by its place in the circuit [V]."""
        return 0.0 if index == nodal.REFERENCE else self.volts[self.circuit.nodes[index]]

    def branch_a(self, name: str) -> float:
        """Current of a branch, first to second node [A]; 0 for one that is not laid."""
        for (branch, a, b), g in zip(self.circuit.branches, self.siemens, strict=True):
            if branch == name:
                return (self.node(a) - self.node(b)) * g
        return 0.0

    def branch_ohm(self, name: str) -> float:
        """Resistance of a branch as the solver takes it [ohm]; ``KeyError`` if not laid."""
        for (branch, _, _), g in zip(self.circuit.branches, self.siemens, strict=True):
            if branch == name:
                return 1 / g
        raise KeyError(name)

    def elements(self) -> list[tuple[str, float, float]]:
        """Name, voltage [V] and drawn current [A] of every source and load."""
        found = []
        for element in self.circuit.elements:
            v = self.node(element.positive) - self.node(element.negative)
            found.append((element.name, v, element.law(v)[0]))
        return found

    def leaving(self, name: str) -> list[NodeFlow]:
        """Everything that leaves a node."""
        at = self.circuit.nodes.index(name)
        here = self.volts[name]
        flows = []
        for (branch, a, b), g in zip(self.circuit.branches, self.siemens, strict=True):
            if at in (a, b) and a != b:
                other = self.node(b if a == at else a)
                flows.append(NodeFlow(branch, (here - other) * g, g, other * g))
        if at in self.circuit.tied:
            flows.append(NodeFlow("tie to the chassis", here * TIE_SIEMENS, TIE_SIEMENS, 0.0))
        for element in self.circuit.elements:
            if at not in (element.positive, element.negative):
                continue
            v = self.node(element.positive) - self.node(element.negative)
            current, slope = element.law(v)
            leaves = current if at == element.positive else -current
            flows.append(NodeFlow(element.name, leaves, slope, slope * here - leaves))
        return flows

    def balanced_v(self, name: str) -> float:
        """The voltage at which nothing is left over at a node [V]: sum of J over sum of G."""
        flows = self.leaving(name)
        together = sum(f.siemens for f in flows)
        return sum(f.norton_a for f in flows) / together if together else 0.0

    def balance(self, name: str) -> str:
        """Kirchhoff's balance at a node as a sentence; what rounding leaves over is nothing."""
        flows = self.leaving(name)
        told = ", ".join(f"{f.name} {f.amperes:+.4g} A" for f in flows)
        left = sum(f.amperes for f in flows)
        sum_a = "0 A" if abs(left) < nodal.NOTHING_A else f"{left:+.1e} A"
        return f"leaving {name}: {told or 'nothing'}; together {sum_a}"

    def inputs(self, name: str) -> tuple[Input, ...]:
        """Conductance and Norton current of everything at a node."""
        inputs = []
        for flow in self.leaving(name):
            inputs.append(Input(f"G {flow.name}", "conductance at the node", flow.siemens, "S"))
            inputs.append(Input(f"J {flow.name}", "G times V beyond it", flow.norton_a, "A"))
        return tuple(inputs)
