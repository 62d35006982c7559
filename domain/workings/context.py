"""What workings look at: a plan, and what is worked out of its network again to show it."""

from collections.abc import Mapping
from functools import cached_property

from domain.build.choices import BlockKind
from domain.build.records import Run
from domain.electrical import loads
from domain.electrical.network import nodal, states, system
from domain.electrical.network.wiring import Wiring
from domain.electrical.protection import short_circuit
from domain.plan import Plan
from domain.reference.planning import planned
from domain.workings.solved import SolvedCircuit


class Context:
    """A plan in pieces; what is dear is worked out when asked for."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.build = plan.build
        self.sheet = plan.sheet
        self.wired = plan.solved.wired
        self.sized = plan.solved.sized
        self.items = plan.solved.items
        self._solved: dict[str, SolvedCircuit] = {}

    @property
    def wiring(self) -> Wiring:
        """Who is joined to whom."""
        return self.wired.wiring

    @cached_property
    def runs(self) -> dict[str, Run]:
        """The build's runs by id."""
        return {run.id: run for run in self.build.runs}

    def design(self, level: str) -> SolvedCircuit:
        """The design state, posts held, at "tone" or "programme"."""
        if level not in self._solved:
            full_output = level == "tone"
            fraction = 1.0 if full_output else loads.programme_fraction(self.build.header)
            ohms = self.sized.tone_ohm if full_output else self.sized.programme_ohm
            self._solved[level] = self.held(ohms, fraction)
        return self._solved[level]

    def held(self, ohms: Mapping[str, float], fraction: float) -> SolvedCircuit:
        """The network with the posts held at the design voltage and these run resistances [ohm]."""
        build, volts = self.build, planned("design_v")
        laws = {b.id: nodal.held_law(volts) for b in build.batteries}
        laws |= system.design_laws(build, fraction)
        circuit = system.with_laws(self.wired.circuit, laws, {})
        siemens = system.siemens(build, self.wiring, ohms, True)
        solution = nodal.solve(circuit, siemens, system.start_volts(self.wiring, volts))
        found = dict(zip(self.wiring.nodes, solution.volts, strict=True))
        return SolvedCircuit(circuit, tuple(siemens), found)

    def state(self, id: str) -> SolvedCircuit:
        """One state of the sheet, with the sheet's node voltages."""
        if id not in self._solved:
            state = self.sheet.state(id)
            if state is None:
                raise LookupError(f"the sheet has no state {id}")
            circuit, siemens = states.solved_circuit(self.wired, state)
            self._solved[id] = SolvedCircuit(circuit, tuple(siemens), state.node_v)
        return self._solved[id]

    @cached_property
    def fault_sources(self) -> dict[str, Mapping[str, short_circuit.Thevenin]]:
        """What the batteries are, seen from every node, with isolators closed and open."""
        ways = {"closed": True}
        if any(block.kind is BlockKind.ISOLATOR for block in self.build.blocks):
            ways["open"] = False
        found = {}
        for way, closed in ways.items():
            siemens = system.siemens(self.build, self.wiring, self.sized.tone_ohm, closed)
            nodes = self.wiring.nodes
            found[way] = short_circuit.thevenin(self.build, self.wired.circuit, siemens, nodes)
        return found

    @cached_property
    def strong_sources(self) -> Mapping[str, short_circuit.Thevenin]:
        """The same at the batteries' least resistance, isolators closed."""
        siemens = system.siemens(self.build, self.wiring, self.sized.tone_ohm, True)
        nodes = self.wiring.nodes
        return short_circuit.thevenin(self.build, self.wired.circuit, siemens, nodes, strong=True)


_last: list[Context] = []


def context(plan: Plan) -> Context:
    """The context of a plan; the last one is kept, by identity."""
    if _last and _last[0].plan is plan:
        return _last[0]
    _last[:] = [Context(plan)]
    return _last[0]
