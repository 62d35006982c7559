"""What workings look at: the build, its sheet, and the settled network behind the sheet."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from domain.build import Build, Run
from domain.electrical import faults, loads, network, states, system
from domain.electrical.planning import planned
from domain.electrical.sizing import Sized, size
from domain.electrical.system import Conductor
from domain.electrical.wiring import Wiring
from domain.evaluate import _carried_between_sources, _charging, _open, settled, wire
from domain.sheet import Sheet
from domain.workings.solved import Solved


@dataclass(frozen=True, slots=True)
class _Noting(Conductor):
    """A conductor that notes at which gauge and current a resistance was taken."""

    noted: dict[float, tuple[str, float]] = field(default_factory=dict, compare=False)

    def resistance_ohm(self, gauge: str, current_a: float, fuse_a: float | None) -> float:
        ohm = Conductor.resistance_ohm(self, gauge, current_a, fuse_a)
        self.noted.setdefault(ohm, (gauge, current_a))
        return ohm


@dataclass(frozen=True, slots=True)
class Sizing:
    """The last round of sizing as it was, before charging currents were laid over it.

    ``also_a`` are the currents between sources that runs had to carry beside the design state
    [A]; ``taken`` gives each run's gauge and current at which its full-tone resistance was taken;
    ``start_a`` are the currents at programme level with which the fuses were chosen [A].
    """

    sized: Sized
    also_a: dict[str, float]
    taken: dict[str, tuple[str, float]]
    start_a: dict[str, float]


class Context:
    """A build, its sheet and the network behind it; what is dear is worked out when asked for."""

    def __init__(self, build: Build, sheet: Sheet) -> None:
        self.build = build
        self.sheet = sheet
        self.wired, self.sized, self.items, _ = settled(build)
        self._solved: dict[str, Solved] = {}
        self._sources: dict[str, faults.Thevenin] = {}

    @property
    def wiring(self) -> Wiring:
        """Who is joined to whom."""
        return self.wired.wiring

    @cached_property
    def runs(self) -> dict[str, Run]:
        """The build's runs by id."""
        return {run.id: run for run in self.build.runs}

    @cached_property
    def sizing(self) -> Sizing:
        """Sizing once more, noting what the resistances were taken at."""
        build = self.build
        also = _charging(build)
        wired, first, _ = wire(build, also)
        carried = _carried_between_sources(
            wired, tuple(states.solve_state(wired, s) for s in states.TITLES)
        )
        more = {
            id: current
            for id, current in carried.items()
            if current > also.get(id, 0.0) + 0.1 and _open(self.runs[id])
        }
        near = first if more else None
        also |= more
        items = {
            id: _Noting(*(getattr(item, name) for name in Conductor.__slots__))
            for id, item in self.items.items()
        }
        sized = size(build, self.wiring, self.wired.circuit, items, also, near)
        taken = {id: item.noted[sized.tone_ohm[id]] for id, item in items.items()}
        return Sizing(sized, also, taken, self._start_a(near))

    def _start_a(self, near: Sized | None) -> dict[str, float]:
        """Currents at programme level with the gauges that sizing starts from [A]."""
        ohms = {}
        for id, item in self.items.items():
            gauge = near.gauge[id] if near else item.fixed or item.allowed[-1]
            amperes = near.programme_a[id] if near else 0.0
            fuse = item.run.fuse_a if item.run.fused or item.run.far_fused else None
            known = near.fuse_a.get(id) if near else fuse
            ohms[id] = item.resistance_ohm(gauge, amperes, known)
        fraction = loads.programme_fraction(self.build.header.programme)
        solved = self.held(ohms, fraction)
        return {id: abs(solved.branch_a(id)) for id in self.items}

    def design(self, level: str) -> Solved:
        """The design state, posts held, at "tone" or "programme"."""
        if level not in self._solved:
            tone = level == "tone"
            fraction = 1.0 if tone else loads.programme_fraction(self.build.header.programme)
            ohms = self.sized.tone_ohm if tone else self.sized.programme_ohm
            self._solved[level] = self.held(ohms, fraction)
        return self._solved[level]

    def held(self, ohms: Mapping[str, float], fraction: float) -> Solved:
        """The network with the posts held at the design voltage and these run resistances [ohm]."""
        build, volts = self.build, planned("design_v")
        laws = {b.id: network.held_law(volts) for b in build.batteries}
        laws |= system.amplifier_laws(build, fraction)
        circuit = system.with_laws(self.wired.circuit, laws, {})
        siemens = system.siemens(build, self.wiring, ohms, True)
        solution = network.solve(circuit, siemens, system.start_volts(self.wiring, volts))
        found = dict(zip(self.wiring.nodes, solution.volts, strict=True))
        return Solved(circuit, tuple(siemens), found)

    def state(self, id: str) -> Solved:
        """One state of the sheet, with the sheet's node voltages."""
        if id not in self._solved:
            circuit, siemens = states.state_circuit(self.wired, id)
            state = self.sheet.state(id)
            if state is None:
                raise LookupError(f"the sheet has no state {id}")
            self._solved[id] = Solved(circuit, tuple(siemens), state.node_v)
        return self._solved[id]

    def thevenin(self, node: str) -> faults.Thevenin:
        """What the batteries are, seen from a node."""
        if not self._sources:
            ohms = system.siemens(self.build, self.wiring, self.sized.tone_ohm, True)
            nodes = self.wiring.nodes
            self._sources |= faults.thevenin(self.build, self.wired.circuit, ohms, nodes)
        return self._sources[node]


_last: list[Context] = []


def context(build: Build, sheet: Sheet) -> Context:
    """The context of a build and its sheet; the last one is kept, by identity."""
    if _last and _last[0].build is build and _last[0].sheet is sheet:
        return _last[0]
    _last[:] = [Context(build, sheet)]
    return _last[0]
