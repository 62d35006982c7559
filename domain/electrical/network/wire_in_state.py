"""What a wire does in one of the solved states: the voltage that it loses, and how warm it gets."""

from domain.build.choices import Cover
from domain.build.records import Build, Run
from domain.document.records import find
from domain.electrical import ampacity
from domain.sheet import NetworkState, RunResult


def current_a(state: NetworkState, run: RunResult) -> float:
    """What flows in all its wires together, whichever way [A]."""
    return abs(state.current_a.get(run.id, 0.0))


def drop_v(state: NetworkState, run: RunResult) -> float:
    """The loss from one end of a wire to the other [V], by the solved voltages of its ends."""
    side = "pos" if run.polarity == "positive" else "neg"
    ends = []
    for id in (run.source, run.target):
        node = next((n for n in (f"{id}_{side}", id) if n in state.node_v), None)
        if node is None:  # an isolator, of which either side may be meant
            return current_a(state, run) * run.resistance_ohm
        ends.append(state.node_v[node])
    return abs(ends[0] - ends[1])


def temperature_c(build: Build, state: NetworkState, run: RunResult) -> float | None:
    """How warm its conductor is once that current has flowed for long [C]; see ``ampacity``."""
    entered = find(build, run.id)
    if not isinstance(entered, Run):
        return None
    return ampacity.temperature_c(
        current_a(state, run) / run.count,
        run.gauge,
        entered.metal,
        entered.insulation,
        run.ambient_c,
        run.bundle,
        Cover(run.cover),
    )
