"""The design state: posts held, amplifiers at full tone or at their programme, solved again and
again with the sizes as they stand."""

from collections.abc import Mapping
from math import inf

from msgspec import Struct

from domain.build.records import Build
from domain.document.kept import kept
from domain.electrical import loads
from domain.electrical.network import nodal, system
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.network.wiring import Wiring
from domain.electrical.sizing.sized import Sized
from domain.reference.planning import planned

SETTLED = 1e-6
"""Resistances that move by no more than this share of themselves have settled."""

MOST_PASSES = 12
"""Passes in which resistances settle; three or four do, unless a wire is far too thin."""


def _bears_on(build: Build, circuit: nodal.Circuit, fraction: float) -> tuple[object, ...]:
    return circuit, build.batteries, build.amplifiers, build.appliances, fraction


@kept(16, by=_bears_on)
def _at_work(build: Build, circuit: nodal.Circuit, fraction: float) -> nodal.Circuit:
    """A build's circuit with its posts held and its amplifiers at this fraction of their power."""
    held = {b.id: nodal.held_law(planned("design_v")) for b in build.batteries}
    return system.with_laws(circuit, held | system.design_laws(build, fraction), {})


class DesignState(Struct, frozen=True):
    """The circuits of the design state, and the sizes that they are solved with."""

    build: Build
    wiring: Wiring
    items: Mapping[str, Conductor]
    sized: Sized
    tone_circuit: nodal.Circuit
    programme_circuit: nodal.Circuit

    @classmethod
    def of(
        cls,
        build: Build,
        wiring: Wiring,
        circuit: nodal.Circuit,
        items: Mapping[str, Conductor],
        sized: Sized,
    ) -> "DesignState":
        """The design state of a build; ``circuit`` is its wiring with nothing at work."""
        at_work = [
            _at_work(build, circuit, fraction)
            for fraction in (1.0, loads.programme_fraction(build.header))
        ]
        return cls(build, wiring, items, sized, *at_work)

    def solve_tone(self) -> None:
        """Design currents and voltages at full tone, with wires at their temperature."""
        sized, circuit = self.sized, self.tone_circuit
        sized.tone_at_a = dict(sized.design_a)
        sized.tone_ohm = self._resistances(sized.design_a)
        solution = self._solution(circuit, sized.tone_ohm, sized.last_volts)
        lowest_v = {a.id: a.lowest_v for a in loads.takers(self.build)}
        at_work = nodal.all_at_work(circuit, solution, lowest_v)
        sized.last_volts = solution.volts if at_work else None
        self._read(circuit, solution, sized.design_a, sized.amplifier_design_a)
        sized.volts = dict(zip(self.wiring.nodes, solution.volts, strict=True))
        sized.note_states("tone", sized.tone_ohm)

    def solve_programme(self) -> None:
        """The same at programme level: it bears on the fuses, and is taken first and last."""
        sized = self.sized
        sized.programme_at_a = dict(sized.programme_a)
        sized.programme_ohm = self._resistances(sized.programme_a)
        solution = self._solution(self.programme_circuit, sized.programme_ohm, None)
        self._read(
            *(self.programme_circuit, solution, sized.programme_a, sized.amplifier_programme_a)
        )
        sized.note_states("programme", sized.programme_ohm)

    def settle_programme(self) -> None:
        """Programme currents and the resistances of wires as warm as these make them, settled."""
        sized, circuit = self.sized, self.programme_circuit
        last: list[float] | None = None
        lowest_v = {a.id: a.lowest_v for a in loads.takers(self.build)}
        for _ in range(MOST_PASSES):
            ohms = self._resistances(sized.programme_a)
            before = sized.programme_ohm
            moved = max((abs(ohm / before[id] - 1) for id, ohm in ohms.items()), default=0.0)
            sized.programme_at_a, sized.programme_ohm = dict(sized.programme_a), ohms
            if moved <= SETTLED:
                break
            solution = self._solution(circuit, ohms, last)
            last = solution.volts if nodal.all_at_work(circuit, solution, lowest_v) else None
            self._read(circuit, solution, sized.programme_a, sized.amplifier_programme_a)

    def _resistances(self, amperes: Mapping[str, float]) -> dict[str, float]:
        sized = self.sized
        found = {}
        for id, item in self.items.items():
            fuse = sized.fuse_a.get(id)
            known = None if fuse == inf else fuse
            found[id] = item.resistance_ohm(sized.gauge[id], amperes[id], known)
        return found

    def _solution(
        self, circuit: nodal.Circuit, ohms: Mapping[str, float], last: list[float] | None
    ) -> nodal.Solution:
        start = last or system.start_volts(self.wiring, planned("design_v"))
        siemens = system.siemens(self.build, self.wiring, ohms, True)
        return nodal.solve(circuit, siemens, start, last is not None)

    def _read(
        self,
        circuit: nodal.Circuit,
        solution: nodal.Solution,
        amperes: dict[str, float],
        amplifier_a: dict[str, float],
    ) -> None:
        for (id, _, _), current in zip(circuit.branches, solution.branch_a, strict=True):
            if id in self.items:
                amperes[id] = abs(current)
        for element, current in zip(circuit.elements, solution.element_a, strict=True):
            amplifier_a[element.name] = current
