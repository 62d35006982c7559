"""The first round of sizing, which all answers to one build begin with.

Every wire is the thickest that its run may have and carries nothing yet, so that neither what lies
round it nor a least size bears on anything. An answer with a run laid in the open, or with thicker
wire for the proofs, goes on from here.
"""

from collections.abc import Callable, Mapping
from math import inf

from msgspec import Struct
from msgspec.structs import replace

from domain.build.records import Build
from domain.electrical import charging
from domain.electrical.network import nodal
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.network.state_currents import StateCurrents
from domain.electrical.network.wiring import Wiring
from domain.electrical.protection.bounds import Bounds
from domain.electrical.protection.cut_network import CutNetwork
from domain.electrical.sizing.asked import Asked
from domain.electrical.sizing.between_sources import Between
from domain.electrical.sizing.design_state import DesignState
from domain.electrical.sizing.fuse_sizes import choose_fuses
from domain.electrical.sizing.sized import Answer, Sized, inside_limit


class Start(Struct, frozen=True):
    """Sizes and currents with the first fuses chosen.

    ``solved`` is what the network was solved with, ``inside`` whether every drop was inside its
    limit then, ``bounds`` what the fuses ask of the wires.
    """

    state: DesignState
    solved: Answer
    inside: bool
    bounds: Bounds

    @classmethod
    def of(cls, state: DesignState) -> "Start":
        """The first round of a design state."""
        sized, items = state.sized, state.items
        assert sized.net is not None
        state.solve_programme()
        state.solve_tone()
        solved, inside = Answer.of(sized), inside_limit(state.build, state.wiring, sized)
        choose_fuses(items, sized, keep=False)
        bounds = Asked(state.build, items, sized.net, {}).bounds(sized)
        return cls(state, solved, inside, bounds)

    def serves(self, items: Mapping[str, Conductor], also_a: Mapping[str, Between]) -> bool:
        """Whether these runs, carrying this beside the loads, begin alike.

        What lies round a wire may differ; where it has it lie in another section, that place is
        to be as warm.
        """
        return self.state.sized.also_a == also_a and all(
            item is own or replace(own, **_lying(item)) == item
            for item, own in ((items[id], own) for id, own in self.state.items.items())
        )

    def again(self, items: Mapping[str, Conductor]) -> DesignState:
        """The same round of these runs, to go on from."""
        sized = self.state.sized.copy()
        if sized.in_states is not None:
            sized.in_states = sized.in_states.copy()
        return replace(self.state, items=items, sized=sized)


def _lying(item: Conductor) -> dict[str, object]:
    return {"cover": item.cover, "bundle": item.bundle, "section": item.section}


class Starts:
    """The first round of one build: worked out once, for all answers to it."""

    def __init__(self) -> None:
        self._known: Start | None = None

    def of(
        self,
        items: Mapping[str, Conductor],
        also_a: Mapping[str, Between],
        begin: Callable[[], DesignState],
    ) -> Start:
        """The start of these runs; ``begin`` makes the state that nothing was solved of."""
        if self._known is None or not self._known.serves(items, also_a):
            self._known = Start.of(begin())
        return self._known


def design_state(
    build: Build,
    wiring: Wiring,
    circuit: nodal.Circuit,
    items: Mapping[str, Conductor],
    also_a: Mapping[str, Between],
    net: CutNetwork,
    seen_a: Mapping[str, tuple[float, float]],
    near: Sized | None,
) -> DesignState:
    """A design state of which nothing is solved: with the sizes of ``near``, else the thickest."""
    sized = Sized(
        also_a=dict(also_a),
        seen_a=dict(seen_a),
        short_a=charging.short_at_batteries_a(build),
        in_states=StateCurrents(build, wiring, circuit),
        net=net,
    )
    for id, item in items.items():
        sized.gauge[id] = near.gauge[id] if near else item.fixed or item.allowed[-1]
        sized.design_a[id] = near.design_a[id] if near else 0.0
        sized.programme_a[id] = near.programme_a[id] if near else 0.0
        if item.run.fused or item.run.far_fused:
            sized.fuse_a[id] = near.fuse_a[id] if near else item.run.fuse_a or inf
    return DesignState.of(build, wiring, circuit, items, sized)
