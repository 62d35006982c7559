"""What every run carries with the engine off, while gauges and fuses are still being chosen."""

from collections.abc import Mapping

from domain.build.records import Build
from domain.electrical.network import nodal, states, system
from domain.electrical.network.wiring import Wiring


class EngineOff:
    """The circuits of a build with the engine off, to be solved with any resistances.

    The posts are lowest then, so that loads of constant power draw the most. What runs carry in
    all states is looked at once the sizes stand.
    """

    def __init__(self, build: Build, wiring: Wiring, circuit: nodal.Circuit) -> None:
        self._build, self._wiring = build, wiring
        self._runs = [
            (name, i) for i, (name, _, _) in enumerate(circuit.branches) if name in wiring.ends
        ]
        self._start = system.start_volts(wiring, states.highest_v(build))
        self._circuits = {
            level: system.with_laws(circuit, states.laws(build, f"off-{level}"), {})
            for level in ("tone", "programme")
        }

    def amperes(self, level: str, run_ohm: Mapping[str, float]) -> dict[str, float]:
        """What each laid run carries at a level, "tone" or "programme" [A].

        Nothing where there is no battery, or no answer: that has its own finding.
        """
        if not (self._build.batteries and self._runs):
            return {}
        siemens = system.siemens(self._build, self._wiring, run_ohm, False)
        solution = nodal.solve(self._circuits[level], siemens, self._start)
        if not solution.converged:
            return {}
        return {run: abs(solution.branch_a[at]) for run, at in self._runs}
