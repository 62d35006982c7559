"""Gauges and fuses chosen and the network solved with them, in every state."""

from collections.abc import Mapping
from math import inf

from msgspec import Struct, field
from msgspec.structs import replace

from domain.build import banks
from domain.build.choices import Cover
from domain.build.records import Build, Run, Zone
from domain.document.kept import kept
from domain.document.records import find
from domain.electrical import conductors, fuses, sources
from domain.electrical.bundling import conductors_in
from domain.electrical.covers import covers
from domain.electrical.network import system
from domain.electrical.network.run_conductor import Conductor, conductor, routed
from domain.electrical.network.states import TITLES, Wired, either_way, solve_state
from domain.electrical.network.wiring import Wiring, wiring
from domain.electrical.protection.circulation import Currents
from domain.electrical.protection.cut_network import cut_network
from domain.electrical.protection.proofs import Proof, Proofs, Verdict, open_to_dead_shorts
from domain.electrical.sizing.better_open import Laid, TooNarrow, better_open, rightly_open
from domain.electrical.sizing.between_sources import Between, between_sources
from domain.electrical.sizing.gauges import cool_a
from domain.electrical.sizing.joining import fuses_ask_a, joinings
from domain.electrical.sizing.run_sizes import size
from domain.electrical.sizing.sized import Sized, note_least
from domain.electrical.sizing.start import Starts
from domain.sheet import NetworkState

MOST_RAISES = 8
"""Times that all is sized anew with thicker wire; sizes end, and one time does nearly always."""

TOO_THIN = (Verdict.OVERLOAD, Verdict.SHORT, Verdict.SHARED)
"""What a thicker wire may mend."""


class SolvedNetwork(Struct, frozen=True):
    """The network of a build, sized and solved: what every electrical result is read from.

    ``items`` are the wires of the runs by run id, ``states`` one solution for each of
    ``domain.electrical.network.states.TITLES``, in that order, ``proofs`` what protects every
    segment of wire. ``unswept`` says that shorts which several sources share were not looked at,
    though there may be some; ``floor`` gives runs that the proofs had thickened their place among
    their allowed gauges.
    """

    wired: Wired
    sized: Sized
    items: Mapping[str, Conductor]
    states: tuple[NetworkState, ...]
    proofs: tuple[Proof, ...] = ()
    unswept: bool = False
    floor: Mapping[str, int] = field(default_factory=dict)

    @property
    def wiring(self) -> Wiring:
        """Who is joined to whom."""
        return self.wired.wiring


def size_and_solve(
    build: Build, *, swept: bool = False, floor: Mapping[str, int] | None = None
) -> SolvedNetwork:
    """Choose every gauge and fuse that is left to the engine and solve the network in all states.

    Runs between batteries and alternators carry nothing in the design state: they are sized for
    charging. What the solved states send through a run bears on its fuse, and on its gauge, with
    relays by voltage joined and parted: where one that is left to the engine is too small for them,
    the build is sized once more for it.
    What the proofs of protection then still find too thin goes up a size, and all is sized again
    with that as the least. ``swept``: shorts that several sources share are looked at too.
    ``floor`` is that of a like build which was swept, for one that is not. A run of which tube
    takes off more than any wire there has is laid in the open.
    """
    laid = Laid(covers(build).of)
    try:
        solved = _raised(build, dict(floor or {}), swept, laid._replace(watched=True))
    except TooNarrow as found:
        solved = _raised(build, dict(floor or {}), swept, laid.opened(found.runs))
        if rightly_open(found.runs, solved.proofs, solved.items):
            return solved
        solved = _raised(build, dict(floor or {}), swept, laid)
    bare = better_open(solved.proofs, solved.items)
    if bare:
        solved = _raised(build, dict(floor or {}), swept, laid.opened(bare))
    return solved


def _raised(build: Build, least: dict[str, int], swept: bool, laid: Laid) -> SolvedNetwork:
    """Sized again and again with what the proofs find too thin as the least.

    The leads of a bank get the thickest gauge that one of them asks for.
    """
    alike: dict[str, int] = {}
    matched = tuple(banks.leads(build))
    solved = _solved(build, least, swept and not matched, laid)
    for _ in range(MOST_RAISES if matched else 0):
        thicker = _unlike(solved, matched)
        if not thicker:
            break
        alike |= thicker
        solved = _solved(build, _greater(least, alike), False, laid)
    if matched and swept:
        solved = _solved(build, _greater(least, alike), swept, laid)
    for _ in range(MOST_RAISES):
        thicker, others = _thicker(solved), _unlike(solved, matched)
        if not (thicker or others):
            break
        least |= thicker
        alike |= others
        solved = _solved(build, _greater(least, alike), swept, laid)
    _say_alike(solved.sized, solved.items, alike)
    return replace(solved, floor=least)


def _greater(least: Mapping[str, int], alike: Mapping[str, int]) -> dict[str, int]:
    return {id: max(least.get(id, 0), alike.get(id, 0)) for id in {**least, **alike}}


def _unlike(solved: SolvedNetwork, matched: tuple[tuple[Run, ...], ...]) -> dict[str, int]:
    """The size of the thickest lead beside it, for leads of a bank that are thinner.

    By run id, as a place among the run's allowed gauges.
    """
    found = {}
    gauge = solved.sized.gauge
    for runs in matched:
        most_mm2 = max(solved.items[run.id].section_mm2(gauge[run.id]) for run in runs)
        for run in runs:
            item = solved.items[run.id]
            if item.fixed or item.section_mm2(gauge[run.id]) >= most_mm2 * conductors.SAME_SIZE:
                continue
            wide = (
                at
                for at, each in enumerate(item.allowed)
                if item.section_mm2(each) >= most_mm2 * conductors.SAME_SIZE
            )
            at = next(wide, len(item.allowed) - 1)
            if item.allowed[at] != gauge[run.id]:
                found[run.id] = at
    return found


def _say_alike(sized: Sized, items: Mapping[str, Conductor], alike: Mapping[str, int]) -> None:
    for id, at in alike.items():
        if items[id].allowed[at] == sized.gauge[id]:
            sized.why[id] = "as thick as the other leads of its bank"


def _solved(build: Build, floor: Mapping[str, int], swept: bool, laid: Laid) -> SolvedNetwork:
    extra = between_sources(build)
    answer, short = _sized_for(build, extra, {}, floor, None, laid)
    seen: dict[str, tuple[float, float]] = {}
    for _ in range(MOST_RESIZED):
        if not short:
            break
        seen = seen | {id: _beyond(seen.get(id), amperes) for id, amperes in short.items()}
        answer, short = _sized_for(build, extra, seen, floor, answer.sized, laid)
    if seen and not short and _outdated(answer):
        asked = _asked(answer)
        seen = {id: asked.get(id, (0.0, 0.0)) for id in seen}
        tried, short = _sized_for(build, extra, seen, floor, answer.sized, laid)
        answer = answer if short else tried
    wired, sized, items = answer.wired, answer.sized, answer.items
    proofs = _proofs(build, wired, sized, items)
    judged = proofs.judged(swept)
    unswept = not swept and (proofs.bounds.shared or any(map(open_to_dead_shorts, judged)))
    return replace(answer, proofs=judged, unswept=unswept)


def _sized_for(
    build: Build,
    extra_a: Mapping[str, Between],
    seen_a: Mapping[str, tuple[float, float]],
    floor: Mapping[str, int],
    near: Sized | None,
    laid: Laid,
) -> tuple[SolvedNetwork, dict[str, tuple[float, float]]]:
    """An answer solved in all states, and what these send through runs too small for it [A].

    At most and lasting, by run id.
    """
    wired, sized, items = size_wires(
        *(build, extra_a, near, floor, seen_a, laid.of), watched=laid.watched
    )
    known = sized.in_states
    states = tuple(
        solve_state(wired, state, known.near(state) if known else None) for state in TITLES
    )
    carried = _carried((*states, *either_way(wired)))
    sized.joining_a = joinings(build, wired.wiring, items, sized)
    sized.closing_a = closing = fuses_ask_a(build, wired.wiring, sized.joining_a)
    short = {
        id: (max(full, closing.get(id, 0.0)), lasting)
        for id, (full, lasting) in carried.items()
        if _too_small(sized, items[id], full, lasting, closing.get(id, 0.0))
    }
    _note_carried(wired, sized, items, carried)
    return SolvedNetwork(wired, sized, items, states), short


def _proofs(build: Build, wired: Wired, sized: Sized, items: Mapping[str, Conductor]) -> Proofs:
    """What protects every segment of wire, with gauges and fuses as they stand."""
    currents = Currents(
        sized.amplifier_programme_a,
        sized.amplifier_design_a,
        {b.id: sources.bulk_charge_a(b) for b in build.batteries},
    )
    return Proofs(
        *(build, wired.wiring, items, sized.gauge, sized.fuse_a, sized.family, currents, sized.net)
    )


def _thicker(solved: SolvedNetwork) -> dict[str, int]:
    """The next size of runs that the engine chose and the proofs find too thin, where there is one.

    By run id, as a place among the run's allowed gauges.
    """
    found = {}
    for proof in solved.proofs:
        item = solved.items[proof.segment.run]
        if not _mended_thicker(proof, item.run) or item.fixed or item.run.existing:
            continue
        at = item.allowed.index(solved.sized.gauge[item.run.id])
        if at + 1 < len(item.allowed):
            found[item.run.id] = at + 1
    return found


def _mended_thicker(proof: Proof, run: Run) -> bool:
    """Whether thicker wire may do: also of a run with no fuse of its own, if others limit it."""
    bare = proof.verdict is Verdict.LONG_TAIL and not (run.fused or run.far_fused)
    return proof.verdict in TOO_THIN or (bare and proof.lasting_a < inf)


MOST_RESIZED = 6
"""How often a build is sized once more for what its solved states carry."""


def size_wires(
    build: Build,
    extra_current_a: Mapping[str, Between] | None = None,
    warm_start: Sized | None = None,
    floor: Mapping[str, int] | None = None,
    seen_a: Mapping[str, tuple[float, float]] | None = None,
    laid: Mapping[str, Cover] | None = None,
    watched: bool = False,
) -> tuple[Wired, Sized, dict[str, Conductor]]:
    """The wiring of a build with gauges, fuses and resistances chosen, ready to be solved.

    ``extra_current_a`` is what runs carry beside the design state, by run id;
    ``warm_start`` an earlier answer to start from, ``floor`` the least places among their allowed
    gauges of runs that were found too thin, ``seen_a`` what solved states sent through runs for
    which an earlier answer was too small, at most and lasting [A]; ``laid`` what lies round runs,
    if not by the rule. ``watched``: raises ``TooNarrow`` where a run is seen to be better open.
    """
    joined = wiring(build)
    runs = _runs_of(build, joined)
    items = runs.laid_as(laid)
    circuit = system.base_circuit(build, joined)
    extra = dict(extra_current_a or {})
    given = build, joined, circuit, items, extra, runs.net
    sized = size(*given, warm_start, floor, seen_a, watched, runs.starts)
    return Wired(build, joined, circuit, sized.tone_ohm, sized.programme_ohm), sized, items


class _Runs:
    """The runs of a build as conductors and as wires cut at their fuses, as its rule lays them."""

    def __init__(self, build: Build, joined: Wiring) -> None:
        self._build = build
        self._beside, self._going = conductors_in(build.runs), routed(build)
        self._by_rule = covers(build).of
        self._items = {run.id: self._conductor(run, self._by_rule) for run in build.runs}
        self.net = cut_network(build, joined, {id: item.wire_m for id, item in self._items.items()})
        self.starts = Starts()

    def _conductor(self, run: Run, laid: Mapping[str, Cover]) -> Conductor:
        if run.id not in self._going.ways:
            return _apart(self._build, run, self._beside.get(run.id), laid.get(run.id))
        zones = _zones(self._build.zones)
        return conductor(self._build, run, zones, self._beside, laid, self._going)

    def laid_as(self, laid: Mapping[str, Cover] | None) -> dict[str, Conductor]:
        """The conductors, by run id, with this round them if not what the rule says."""
        items = dict(self._items)
        for id, cover in (laid or {}).items():
            if cover is not self._by_rule.get(id):
                items[id] = self._conductor(items[id].run, laid or {})
        return items


@kept(8)
def _zones(zones: tuple[Zone, ...]) -> dict[str, float]:
    return {zone.id: zone.ambient_c for zone in zones}


def _bears_on(build: Build, run: Run, beside: int | None, laid: Cover | None) -> tuple[object, ...]:
    ends = find(build, run.source), find(build, run.target)
    return build.header, build.zones, run, *ends, beside, laid


@kept(600, by=_bears_on)
def _apart(build: Build, run: Run, beside: int | None, laid: Cover | None) -> Conductor:
    """The conductor of a run without a way: no other run bears on it but by how many lie there."""
    count = {} if beside is None else {run.id: beside}
    cover = {} if laid is None else {run.id: laid}
    return conductor(build, run, _zones(build.zones), count, cover)


@kept(2)
def _runs_of(build: Build, joined: Wiring) -> _Runs:
    """They serve all answers to one build: what is laid otherwise is made anew."""
    return _Runs(build, joined)


def _note_carried(
    wired: Wired,
    sized: Sized,
    items: Mapping[str, Conductor],
    carried: Mapping[str, tuple[float, float]],
) -> None:
    """Take what runs carry in the solved states, at most and lasting [A], into their figures.

    For a run that feeds no amplifier, and for all leads of a bank, it is the design current.
    """
    sized.solved_a = dict(carried)
    note_least(items, sized)
    shared = {run.id for runs in banks.leads(wired.build) for run in runs}
    wiring = wired.wiring
    for id, (full, lasting) in carried.items():
        if id in shared or not (wiring.feeds.get(id) or wiring.returns.get(id)):
            sized.design_a[id] = max(sized.design_a[id], full)
            sized.programme_a[id] = max(sized.programme_a[id], lasting)


def _too_small(
    sized: Sized, item: Conductor, full_a: float, lasting_a: float, closing_a: float
) -> bool:
    """Whether a fuse or gauge of the engine's, that has a larger one, does not carry this.

    ``closing_a`` concerns the fuse alone: it flows for seconds.
    """
    run = item.run
    full_a, lasting_a = full_a / item.count, lasting_a / item.count
    if (run.fused or run.far_fused) and run.fuse_a is None:
        most_a = max(full_a, closing_a / item.count)
        needed = fuses.least_rating_a(most_a, lasting_a, item.fuse_c, run.fuse_family)
        if sized.fuse_a[run.id] < needed * (1 - 1e-9):
            short_a = sized.short_a.get(run.id, 0.0)
            return fuses.smallest(needed, run.fuse_family, short_a) is not None
    if item.fixed or run.existing or sized.gauge[run.id] == item.allowed[-1]:
        return False
    wanted = max(full_a, cool_a(item, lasting_a))
    return item.ampacity_a(sized.gauge[run.id]) < wanted * (1 - 1e-9)


def _beyond(before: tuple[float, float] | None, now: tuple[float, float]) -> tuple[float, float]:
    """What to size for where a larger size drew more again: as much more once again [A]."""
    if before is None:
        return now
    full, lasting = (b + 0.25 * max(b - a, 0.0) for a, b in zip(before, now, strict=True))
    return full, lasting


def _asked(solved: SolvedNetwork) -> dict[str, tuple[float, float]]:
    """What runs carry in solved states, and fuses as isolators close: at most and lasting [A]."""
    closing = solved.sized.closing_a
    return {
        id: (max(full, closing.get(id, 0.0)), lasting)
        for id, (full, lasting) in solved.sized.solved_a.items()
    }


def _outdated(solved: SolvedNetwork) -> bool:
    """Whether a wire is thicker for what earlier sizes sent through it than what these do."""
    sized, asked = solved.sized, _asked(solved)
    for id, seen in sized.seen_a.items():
        item = solved.items[id]
        run = item.run
        full, lasting = (amperes / item.count for amperes in seen)
        now, lasting_now = (a / item.count for a in asked.get(id, (0.0, 0.0)))
        if (run.fused or run.far_fused) and run.fuse_a is None:
            place = item.fuse_c, run.fuse_family
            needed = fuses.least_rating_a(now, lasting_now, *place)
            smaller = [a for a in fuses.ratings(sized.family[id]) if a < sized.fuse_a[id]]
            if smaller and needed <= smaller[-1] < fuses.least_rating_a(full, lasting, *place):
                return True
        at = 0 if item.fixed else item.allowed.index(sized.gauge[id])
        if at and max(now, lasting_now) <= item.ampacity_a(item.allowed[at - 1]) < full:
            return True
    return False


NO_CURRENT_YET = -1.0, 0.0
"""Less than any run carries at most, and lasting, in a state [A]."""


def _carried(states: tuple[NetworkState, ...]) -> dict[str, tuple[float, float]]:
    """What each run carries at most in any solved state, and at programme level, which lasts [A].

    A state without an answer counts for nothing: it has its own finding.
    """
    most: dict[str, tuple[float, float]] = {}
    for state in states:
        if not state.converged:
            continue
        programme = state.id.endswith("programme")
        for id, amperes in state.current_a.items():
            here = abs(amperes)
            full, lasting = most.get(id, NO_CURRENT_YET)
            if here > full or (programme and here > lasting):
                most[id] = max(full, here), max(lasting, here) if programme else lasting
    return most
