"""What every run carries in the solved states, while gauges and fuses are still being chosen."""

from collections.abc import Mapping, Sequence
from copy import copy

from domain.build.records import Build
from domain.electrical import loads
from domain.electrical.network import converters, nodal, states, system
from domain.electrical.network.wiring import Wiring

ENGINES = {"tone": ("off",), "programme": ("cruise", "idle", "off")}
"""Engine states looked at by level. At full output the posts are lowest with the engine off, so
that loads of constant power draw the most; the programme is solved seldom, charge counts in it.
What runs carry in the rest is looked at once the sizes stand."""

ROUGHLY_A = 1e-3
"""What a state carries is known to this while sizes are still chosen: it spares a step that would
only prove the answer. Once they stand every state is solved to the last digit [A]."""


class StateCurrents:
    """The circuits of a build's states, to be solved with any resistances."""

    def __init__(self, build: Build, wiring: Wiring, circuit: nodal.Circuit) -> None:
        self._build, self._wiring = build, wiring
        self._chargers = converters.converters(build)
        # Beside an alternator currents shift with every size: they are looked at in the end alone.
        linked = {run for way in wiring.links.values() for run in way}
        self._runs = [
            (name, i)
            for i, (name, _, _) in enumerate(circuit.branches)
            if wiring.feeds.get(name) or wiring.returns.get(name) or name in linked
        ]
        self._lowest_v = {a.id: a.lowest_v for a in loads.takers(build)}
        self._last: dict[str, list[float]] = {}
        self._circuits = {
            state: states.at_work(build, circuit, state)
            for level, engines in ENGINES.items()
            for state in (f"{engine}-{level}" for engine in engines)
            if build.alternators or state.startswith("off")
        }
        self._start = {
            state: system.start_volts(wiring, states.first_v(build, state, circuit))
            for state, circuit in self._circuits.items()
        }

    def copy(self) -> "StateCurrents":
        """The same with the solutions as they are now, to go on from."""
        copied = copy(self)
        copied._last = dict(self._last)
        return copied

    def near(self, state: str) -> list[float] | None:
        """Voltages of the last solution of a state, by its id, with every load at work [V].

        To start from where its resistances have hardly changed since.
        """
        return self._last.get(state)

    def most_a(self, level: str, run_ohm: Mapping[str, float]) -> dict[str, float]:
        """The most that each laid run carries at a level, "tone" or "programme" [A].

        Nothing where there is no battery; a state without an answer has its own finding.
        """
        if not (self._build.batteries and self._runs):
            return {}
        most = {run: 0.0 for run, _ in self._runs}
        conductances: dict[bool, Sequence[float]] = {}
        for state, circuit in self._circuits.items():
            if not state.endswith(level):
                continue
            closed = not state.startswith("off")
            if closed not in conductances:
                conductances[closed] = system.siemens(
                    self._build, self._wiring, run_ohm, closed, solved=True
                )
            last = self._last.pop(state, None)
            solution, _ = converters.settled(
                self._chargers,
                circuit,
                conductances[closed],
                last or self._start[state],
                last is not None,
                ROUGHLY_A,
            )
            if solution.converged:
                if nodal.all_at_work(circuit, solution, self._lowest_v):
                    self._last[state] = solution.volts
                for run, at in self._runs:
                    most[run] = max(most[run], abs(solution.branch_a[at]))
        return most
