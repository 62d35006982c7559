"""What every run carries in the solved states, while gauges and fuses are still being chosen."""

from collections.abc import Mapping, Sequence

from domain.build.records import Build
from domain.electrical.network import nodal, states, system
from domain.electrical.network.wiring import Wiring

ENGINES = {"tone": ("off",), "programme": ("cruise", "idle", "off")}
"""Engine states looked at by level. At full output the posts are lowest with the engine off, so
that loads of constant power draw the most; the programme is solved seldom, charge counts in it.
What runs carry in the rest is looked at once the sizes stand."""


class StateCurrents:
    """The circuits of a build's states, to be solved with any resistances."""

    def __init__(self, build: Build, wiring: Wiring, circuit: nodal.Circuit) -> None:
        self._build, self._wiring = build, wiring
        self._runs = [
            (name, i) for i, (name, _, _) in enumerate(circuit.branches) if name in wiring.ends
        ]
        self._start = system.start_volts(wiring, states.highest_v(build))
        self._circuits = {
            level: [
                (
                    engine != "off",
                    system.with_laws(
                        circuit,
                        states.laws(build, f"{engine}-{level}"),
                        states.knees(build, f"{engine}-{level}"),
                    ),
                )
                for engine in engines
                if engine == "off" or build.alternators
            ]
            for level, engines in ENGINES.items()
        }

    def most_a(self, level: str, run_ohm: Mapping[str, float]) -> dict[str, float]:
        """The most that each laid run carries at a level, "tone" or "programme" [A].

        Nothing where there is no battery; a state without an answer has its own finding.
        """
        if not (self._build.batteries and self._runs):
            return {}
        most = {run: 0.0 for run, _ in self._runs}
        conductances: dict[bool, Sequence[float]] = {}
        for closed, circuit in self._circuits[level]:
            if closed not in conductances:
                conductances[closed] = system.siemens(self._build, self._wiring, run_ohm, closed)
            solution = nodal.solve(circuit, conductances[closed], self._start)
            if solution.converged:
                for run, at in self._runs:
                    most[run] = max(most[run], abs(solution.branch_a[at]))
        return most
