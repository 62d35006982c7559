"""Which gauge and which fuse each run gets.

The posts are held at the design voltage and every amplifier plays at full tone; the network
gives each run's current. A fuse is the smallest standard rating that carries it; a wire is the
thinnest that meets the proofs of protection (``protection.bounds``), fits both terminals, and is
no thinner on the ground side than on the feed. From there the gauges go up with the least copper
that keeps every amplifier inside the drop limit (``drop_budget``). Pinned values are kept.
"""

from collections.abc import Mapping
from functools import partial

from domain.build.records import Build
from domain.electrical.loads import takers
from domain.electrical.network import nodal
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.network.wiring import Wiring
from domain.electrical.protection.cut_network import CutNetwork
from domain.electrical.sizing.asked import Asked
from domain.electrical.sizing.better_open import stop_if_narrow
from domain.electrical.sizing.between_sources import Between
from domain.electrical.sizing.design_state import DesignState
from domain.electrical.sizing.drop_budget import DropBudget, Solved
from domain.electrical.sizing.fuse_sizes import choose_fuses, larger_fuses, smaller_fuses
from domain.electrical.sizing.gauges import choose_gauges, match_grounds, places
from domain.electrical.sizing.sized import Answer, Sized, drops, inside_limit, note_least
from domain.electrical.sizing.start import Start, Starts, design_state
from domain.electrical.sizing.thinning import Thinning

FREE_ROUNDS = 4
ROUNDS = 16
"""Three rounds settle nearly every build. After the free ones, or once an answer comes back,
nothing goes down again, so that two answers that call for each other cannot swing for ever; of
all answers that passed on the way the one with the least copper is then taken."""

MOST_THINNED = 4
"""Times that wires get thinner and fuses smaller in turn, the one because of the other."""


def size(
    build: Build,
    wiring: Wiring,
    circuit: nodal.Circuit,
    conductors_of: Mapping[str, Conductor],
    also_a: Mapping[str, Between],
    net: CutNetwork,
    near: Sized | None = None,
    floor: Mapping[str, int] | None = None,
    seen_a: Mapping[str, tuple[float, float]] | None = None,
    watched: bool = False,
    starts: Starts | None = None,
) -> Sized:
    """Choose gauges and fuses.

    ``also_a`` is what runs carry beside the design state: what flows between batteries and
    alternators; ``net`` is the network cut at its fuses; ``seen_a`` what solved states sent
    through runs, at most and lasting [A]. ``near`` is the answer to a like question, to start from;
    without one and without ``seen_a`` the first round is that of ``starts``, if another answer to
    the build has begun. ``floor`` gives runs that the proofs of protection found too thin the least
    place among their allowed gauges. ``watched``: raises ``TooNarrow`` where a run is seen to be
    better open.
    """
    begin = partial(
        design_state, build, wiring, circuit, conductors_of, also_a, net, seen_a or {}, near
    )
    start = None
    if near or seen_a:
        state = begin()
        state.solve_programme()
    else:
        start = (starts or Starts()).of(conductors_of, also_a, begin)
        state = start.again(conductors_of)
    sized = state.sized
    ask = Asked(build, conductors_of, net, floor or {}, start.bounds if start else None)
    swings = _rounds(state, ask, start, watched)
    state.solve_programme()
    note_least(conductors_of, sized)
    fewer = smaller_fuses(build, conductors_of, sized, wiring, state.solve_tone)
    more = larger_fuses(wiring, conductors_of, sized, state.solve_tone, ask)
    unsettled = bool(wiring.loops or swings or fewer or more or ask.rings)
    for _ in range(MOST_THINNED):
        if not (unsettled and _thin(state, ask)):
            break
        state.solve_programme()
        note_least(conductors_of, sized)
        unsettled = smaller_fuses(build, conductors_of, sized, wiring, state.solve_tone)
        larger_fuses(wiring, conductors_of, sized, state.solve_tone, ask)
    state.settle_programme()
    return sized


def _rounds(state: DesignState, ask: Asked, start: Start | None, watched: bool) -> bool:
    """From currents to sizes to currents, until the sizes stand; whether they swing instead.

    ``start`` is the first round, where sizes begin with the thickest: then none is to stand in it.
    """
    build, wiring, items, sized = state.build, state.wiring, state.items, state.sized
    previous: dict[str, int] = {}
    passing: list[Answer] = []
    seen: list[tuple[dict[str, str], dict[str, float]]] = []
    swings = False
    budget = DropBudget(build, wiring, items)
    for number in range(ROUNDS):
        if start and not number:
            solved, inside = start.solved, start.inside
            if watched:
                stop_if_narrow(items, sized, ask.bounds(sized))
        else:
            state.solve_tone()
            solved = Answer.of(sized)
            inside = inside_limit(build, wiring, sized)
            choose_fuses(items, sized, keep=swings or number > FREE_ROUNDS)
        choose_gauges(wiring, items, sized, previous, ask)
        if inside and number and solved.covers(sized):
            passing.append(solved)
        _meet_drop(state, budget, solved.gauge, solved.fuse_a)
        stands = (solved.gauge, solved.fuse_a) == (sized.gauge, sized.fuse_a)
        if stands and (number or not start):
            state.solve_tone()
            if inside_limit(build, wiring, sized):
                break
            # It passed before its currents had settled, and does not now.
            passing = [old for old in passing if old.gauge != sized.gauge]
            continue
        answer = dict(sized.gauge), dict(sized.fuse_a)
        swings = swings or number >= FREE_ROUNDS or answer in seen
        if swings and any(answer == (old.gauge, old.fuse_a) for old in passing):
            break
        seen.append(answer)
        if swings:
            previous = places(items, sized)
    if swings:
        sized.exact = False
        state.solve_tone()
        if not passing or inside_limit(build, wiring, sized):
            passing.append(Answer.of(sized))
        min(passing, key=lambda answer: answer.copper_kg(items)).restore(sized)
        state.solve_tone()
    return swings


def _thin(state: DesignState, ask: Asked) -> bool:
    """Take down sizes that fuses and currents, as they stand in the end, ask for no more."""
    items, sized = state.items, state.sized
    kept, why = sized.gauge, sized.why
    sized.gauge, sized.why = dict(kept), dict(why)
    choose_gauges(state.wiring, items, sized, {}, ask)
    asked, because = sized.gauge, sized.why
    sized.gauge, sized.why = kept, why
    lowest = {id: items[id].allowed[ask.floor.get(id, 0)] for id in ask.rings}
    short = partial(ask.short_in_rings, sized)
    tree = not (state.wiring.loops or ask.rings)
    taken = Thinning(state, asked | lowest, short, tree).thin()
    for id, item in items.items():
        if not item.fixed and item.ampacity_a(sized.gauge[id]) <= item.ampacity_a(asked[id]):
            sized.why[id] = because[id]
    return taken


def _meet_drop(
    state: DesignState,
    budget: DropBudget,
    solved_gauge: Mapping[str, str],
    solved_fuse: Mapping[str, float],
) -> None:
    """Go up in gauge with the least copper until every amplifier is inside the drop limit."""
    build, wiring, items, sized = state.build, state.wiring, state.items, state.sized
    drop_v = {
        a.id: sum(drops(wiring, sized, a.id))
        for a in takers(build)
        if wiring.feed[a.id].battery and wiring.ret[a.id].battery
    }
    solved = Solved(sized.design_a, solved_gauge, solved_fuse, drop_v)
    gauge, sized.over_v, sized.exact = budget.thicken(solved, sized.gauge, sized.fuse_a)
    for id, chosen in gauge.items():
        if chosen != sized.gauge[id]:
            sized.gauge[id] = chosen
            sized.why[id] = f"keeps the drop inside {build.header.drop_limit_v:g} V"
    match_grounds(wiring, items, sized)
