"""Which gauge and which fuse each run gets.

The posts are held at the design voltage and every amplifier plays at full tone; the network
gives each run's current. A fuse is the smallest standard rating that carries it; a wire is the
thinnest that meets the proofs of protection (``protection.bounds``), fits both terminals, and is
no thinner on the ground side than on the feed. From there the gauges go up with the least copper
that keeps every amplifier inside the drop limit (``drop_budget``). Pinned values are kept.
"""

from collections.abc import Mapping
from math import inf

from domain.build.choices import Polarity
from domain.build.records import Build
from domain.electrical import charging, conductors, fuses, loads, sources
from domain.electrical.network import nodal, system
from domain.electrical.network.state_currents import StateCurrents
from domain.electrical.network.system import Conductor
from domain.electrical.network.wiring import Wiring
from domain.electrical.protection import coordination
from domain.electrical.protection.bounds import Bounds, Need
from domain.electrical.protection.circulation import Currents
from domain.electrical.protection.cut_network import cut_network
from domain.electrical.sizing import drop_budget, thinning
from domain.electrical.sizing.sized import Answer, Sized, drops, inside_limit, note_least
from domain.reference.planning import planned

FREE_ROUNDS = 4
ROUNDS = 16
"""Three rounds settle nearly every build. After the free ones, or once an answer comes back,
nothing goes down again, so that two answers that call for each other cannot swing for ever; of
all answers that passed on the way the one with the least copper is then taken."""


def size(
    build: Build,
    wiring: Wiring,
    circuit: nodal.Circuit,
    conductors_of: Mapping[str, Conductor],
    also_a: Mapping[str, float],
    near: Sized | None = None,
    floor: Mapping[str, int] | None = None,
) -> Sized:
    """Choose gauges and fuses.

    ``also_a`` are currents that runs must carry on top of the design state: what flows between
    batteries and alternators [A]. ``near`` is the answer to a like question, to start from.
    ``floor`` gives runs that the proofs of protection found too thin the least place among their
    allowed gauges.
    """
    held = {b.id: nodal.held_law(planned("design_v")) for b in build.batteries}
    programme = loads.programme_fraction(build.header.programme)
    tone_circuit = system.with_laws(circuit, held | system.amplifier_laws(build, 1.0), {})
    programme_circuit = system.with_laws(
        circuit, held | system.amplifier_laws(build, programme), {}
    )

    sized = Sized(
        also_a=dict(also_a),
        short_a=charging.short_at_batteries_a(build),
        in_states=StateCurrents(build, wiring, circuit),
    )
    for id, item in conductors_of.items():
        sized.gauge[id] = near.gauge[id] if near else item.fixed or item.allowed[-1]
        sized.design_a[id] = near.design_a[id] if near else 0.0
        sized.programme_a[id] = near.programme_a[id] if near else 0.0
        if item.run.fused or item.run.far_fused:
            sized.fuse_a[id] = near.fuse_a[id] if near else item.run.fuse_a or inf
    _solve_programme(build, wiring, sized, conductors_of, programme_circuit)
    previous: dict[str, int] = {}
    passing: list[Answer] = []
    seen: list[tuple[dict[str, str], dict[str, float]]] = []
    swings = False
    ask = _Asked(build, wiring, conductors_of, floor or {})
    for number in range(ROUNDS):
        _solve_tone(build, wiring, sized, conductors_of, tone_circuit)
        solved = Answer.of(sized, conductors_of)
        inside = inside_limit(build, wiring, sized)
        _choose_fuses(conductors_of, sized, keep=swings or number > FREE_ROUNDS)
        _choose_gauges(wiring, conductors_of, sized, also_a, previous, ask)
        least = dict(sized.gauge)
        if inside and number and solved.covers(sized):
            passing.append(solved)
        _meet_drop(build, wiring, conductors_of, sized, solved.gauge, solved.fuse_a)
        if (near or number) and (solved.gauge, solved.fuse_a) == (sized.gauge, sized.fuse_a):
            _solve_tone(build, wiring, sized, conductors_of, tone_circuit)
            if inside_limit(build, wiring, sized):
                break
        answer = dict(sized.gauge), dict(sized.fuse_a)
        swings = swings or number >= FREE_ROUNDS or answer in seen
        if swings and any(answer == (old.gauge, old.fuse_a) for old in passing):
            break
        seen.append(answer)
        if swings:
            previous = _places(conductors_of, sized)
    if swings:
        sized.exact = False
        cheapest = min(
            (*passing, Answer.of(sized, conductors_of)), key=lambda answer: answer.copper_kg
        )
        cheapest.restore(sized)
        _solve_tone(build, wiring, sized, conductors_of, tone_circuit)
    if wiring.loops or swings:
        thinning.thin(
            build,
            wiring,
            conductors_of,
            sized,
            least,
            lambda: _solve_tone(build, wiring, sized, conductors_of, tone_circuit),
        )
    _solve_programme(build, wiring, sized, conductors_of, programme_circuit)
    note_least(conductors_of, sized)
    _smaller_fuses(build, wiring, conductors_of, sized, tone_circuit, ask)
    _larger_fuses(build, wiring, conductors_of, sized, also_a, tone_circuit, ask)
    _settle_programme(build, wiring, sized, conductors_of, programme_circuit)
    return sized


def _places(items: Mapping[str, Conductor], sized: Sized) -> dict[str, int]:
    """Where each gauge that is not fixed stands among those its run may have."""
    return {id: item.allowed.index(sized.gauge[id]) for id, item in items.items() if not item.fixed}


HARDLY = 0.005
"""A current that moves by less than this share of it asks nothing new of a wire."""


class _Asked:
    """What the proofs of protection ask of each run's wire."""

    def __init__(
        self,
        build: Build,
        wiring: Wiring,
        items: Mapping[str, Conductor],
        floor: Mapping[str, int],
    ) -> None:
        self.build, self.floor = build, floor
        self.net = cut_network(build, wiring, {id: item.wire_m for id, item in items.items()})
        self.charge_a = {b.id: sources.bulk_charge_a(b) for b in build.batteries}
        self._last: Bounds | None = None

    def bounds(self, sized: Sized) -> Bounds:
        """The bounds with the fuses and currents as they stand.

        Those of the round before do where fuses stayed and currents hardly moved: they bear on
        grounds only, and what is built in the end is proved with the last ones.
        """
        fuse_a, family = dict(sized.fuse_a), dict(sized.family)
        programme, tone = dict(sized.amplifier_programme_a), dict(sized.amplifier_design_a)
        last = self._last
        if last and (last.fuse_a, last.family) == (fuse_a, family):
            before = last.currents
            if _near(before.programme_a, programme) and _near(before.tone_a, tone):
                return last
        currents = Currents(programme, tone, self.charge_a)
        self._last = Bounds(self.build, self.net, fuse_a, family, currents)
        return self._last


def _near(old: Mapping[str, float], new: Mapping[str, float]) -> bool:
    return old.keys() == new.keys() and all(
        abs(new[id] - amperes) <= HARDLY * abs(amperes) for id, amperes in old.items()
    )


def _larger_fuses(
    build: Build,
    wiring: Wiring,
    items: Mapping[str, Conductor],
    sized: Sized,
    also_a: Mapping[str, float],
    circuit: nodal.Circuit,
    ask: _Asked,
) -> None:
    """Where the last currents call for more than an auto fuse gives, take the next one.

    Only a build whose answers swing, or whose wires cannot grow any further, comes here. Wires
    go up with their fuses; those that cannot are found too thin, which is what has to be said.
    """
    for _ in range(FREE_ROUNDS):
        changed = False
        for id, least in sized.least_a.items():
            run = items[id].run
            found = fuses.smallest(least, run.fuse_family, sized.short_a.get(id, 0.0))
            if run.fuse_a is None and found and sized.fuse_a[id] < least * (1 - 1e-9):
                sized.fuse_a[id], sized.family[id] = found
                changed = True
        if not changed:
            return
        _choose_gauges(wiring, items, sized, also_a, _places(items, sized), ask)
        _solve_tone(build, wiring, sized, items, circuit)
        note_least(items, sized)


def _smaller_fuses(
    build: Build,
    wiring: Wiring,
    items: Mapping[str, Conductor],
    sized: Sized,
    circuit: nodal.Circuit,
    ask: _Asked,
) -> None:
    """Take the next smaller fuse where it does in the wire that was chosen.

    A smaller fuse may have called for a thinner wire and that for the larger fuse again; with
    the wire settled, the smaller one is tried once more, all at a time.
    """
    smaller = {}
    for id, rating in sized.fuse_a.items():
        run = items[id].run
        found = fuses.smallest(sized.least_a[id], run.fuse_family, sized.short_a.get(id, 0.0))
        if run.fuse_a is None and found and found[0] < rating:
            smaller[id] = found
    if not smaller:
        return
    saved = sized.fuse_a, sized.family, sized.design_a, sized.amplifier_design_a
    sized.fuse_a = {**sized.fuse_a, **{id: rating for id, (rating, _) in smaller.items()}}
    sized.family = {**sized.family, **{id: family for id, (_, family) in smaller.items()}}
    sized.design_a, sized.amplifier_design_a = dict(sized.design_a), {}
    _solve_tone(build, wiring, sized, items, circuit)
    note_least(items, sized)
    fits = all(sized.least_a[id] <= sized.fuse_a[id] * (1 + 1e-9) for id in smaller)
    inside = inside_limit(build, wiring, sized)
    if not (fits and inside):
        sized.fuse_a, sized.family, sized.design_a, sized.amplifier_design_a = saved
        _solve_tone(build, wiring, sized, items, circuit)
        note_least(items, sized)
    if fits and inside:
        bounds = ask.bounds(sized)
        for id, why in sized.why.items():
            limits = bounds.need(id).limits if why.startswith("carries its") else ()
            if smaller.keys() & set(limits):
                rating = min(sized.fuse_a[run] for run in limits if run in smaller)
                sized.why[id] = (
                    f"carries the next fuse above {rating:g} A, which it would need thinner"
                )


def _solve_tone(
    build: Build,
    wiring: Wiring,
    sized: Sized,
    items: Mapping[str, Conductor],
    circuit: nodal.Circuit,
) -> None:
    """Design currents and voltages at full tone, with wires at their temperature."""
    sized.tone_at_a = dict(sized.design_a)
    sized.tone_ohm = _resistances(sized, items, sized.design_a)
    solution = _solution(build, wiring, circuit, sized.tone_ohm, sized.last_volts)
    lowest_v = {a.id: a.lowest_v for a in build.amplifiers}
    at_work = nodal.all_at_work(circuit, solution, lowest_v)
    sized.last_volts = solution.volts if at_work else None
    _read(circuit, solution, items, sized.design_a, sized.amplifier_design_a)
    sized.volts = dict(zip(wiring.nodes, solution.volts, strict=True))
    sized.note_states("tone", sized.tone_ohm)


def _solve_programme(
    build: Build,
    wiring: Wiring,
    sized: Sized,
    items: Mapping[str, Conductor],
    circuit: nodal.Circuit,
) -> None:
    """The same at programme level: it bears on the fuses and is taken at the start and the end."""
    sized.programme_at_a = dict(sized.programme_a)
    sized.programme_ohm = _resistances(sized, items, sized.programme_a)
    solution = _solution(build, wiring, circuit, sized.programme_ohm)
    _read(circuit, solution, items, sized.programme_a, sized.amplifier_programme_a)
    sized.note_states("programme", sized.programme_ohm)


SETTLED = 1e-6
"""Resistances that move by no more than this share of themselves have settled."""

MOST_PASSES = 12
"""Passes in which resistances settle; three or four do, unless a wire is far too thin."""


def _settle_programme(
    build: Build,
    wiring: Wiring,
    sized: Sized,
    items: Mapping[str, Conductor],
    circuit: nodal.Circuit,
) -> None:
    """Programme currents and the resistances of wires as warm as these make them, both settled."""
    last: list[float] | None = None
    lowest_v = {a.id: a.lowest_v for a in build.amplifiers}
    for _ in range(MOST_PASSES):
        ohms = _resistances(sized, items, sized.programme_a)
        before = sized.programme_ohm
        moved = max((abs(ohm / before[id] - 1) for id, ohm in ohms.items()), default=0.0)
        sized.programme_at_a, sized.programme_ohm = dict(sized.programme_a), ohms
        if moved <= SETTLED:
            break
        solution = _solution(build, wiring, circuit, ohms, last)
        last = solution.volts if nodal.all_at_work(circuit, solution, lowest_v) else None
        _read(circuit, solution, items, sized.programme_a, sized.amplifier_programme_a)


def _resistances(
    sized: Sized, items: Mapping[str, Conductor], amperes: Mapping[str, float]
) -> dict[str, float]:
    found = {}
    for id, item in items.items():
        fuse = sized.fuse_a.get(id)
        known = None if fuse == inf else fuse
        found[id] = item.resistance_ohm(sized.gauge[id], amperes[id], known)
    return found


def _solution(
    build: Build,
    wiring: Wiring,
    circuit: nodal.Circuit,
    ohms: Mapping[str, float],
    last: list[float] | None = None,
) -> nodal.Solution:
    start = last or system.start_volts(wiring, planned("design_v"))
    return nodal.solve(circuit, system.siemens(build, wiring, ohms, True), start, last is not None)


def _read(
    circuit: nodal.Circuit,
    solution: nodal.Solution,
    items: Mapping[str, Conductor],
    amperes: dict[str, float],
    amplifier_a: dict[str, float],
) -> None:
    for (id, _, _), current in zip(circuit.branches, solution.branch_a, strict=True):
        if id in items:
            amperes[id] = abs(current)
    for element, current in zip(circuit.elements, solution.element_a, strict=True):
        amplifier_a[element.name] = current


def _choose_fuses(items: Mapping[str, Conductor], sized: Sized, keep: bool) -> None:
    """Ratings from the currents; with ``keep`` none falls below that of the round before."""
    note_least(items, sized)
    for id, item in items.items():
        run = item.run
        if not (run.fused or run.far_fused):
            continue
        least = sized.least_a[id]
        if run.fuse_a is not None:
            sized.fuse_a[id] = run.fuse_a
            sized.family[id] = run.fuse_family or fuses.family_of(
                run.fuse_a, sized.short_a.get(id, 0.0)
            )
            continue
        found = fuses.smallest(least, run.fuse_family, sized.short_a.get(id, 0.0))
        if found is None:
            family = run.fuse_family or fuses.AUTO_FAMILIES[-1]
            found = fuses.ratings(family)[-1], family
        rating, family = found
        if keep and sized.fuse_a[id] > rating:
            continue
        sized.fuse_a[id], sized.family[id] = rating, family


def _choose_gauges(
    wiring: Wiring,
    items: Mapping[str, Conductor],
    sized: Sized,
    also_a: Mapping[str, float],
    previous: Mapping[str, int],
    ask: _Asked,
) -> None:
    """The thinnest gauge of every run that its currents and the proofs of protection allow."""
    bounds = ask.bounds(sized)
    grounds = []
    for id, item in items.items():
        if item.fixed:
            sized.gauge[id], sized.why[id] = item.fixed, "pinned"
        elif item.run.polarity is Polarity.GROUND:
            grounds.append(item)
        else:
            need = bounds.need(id)
            carried = max(sized.design_a[id] + also_a.get(id, 0.0), sized.most_a(id)) / item.count
            why = f"carries {carried:.0f} A"
            if need.carries_a >= carried * (1 - 1e-9):
                why = _let_through(need, sized)
            least = max(need.carries_a, carried)
            _take(item, sized, least, 0.0, why, previous, need, ask.floor)
    for item in grounds:
        id = item.run.id
        section, why = _ground_need(wiring, items, sized, item)
        carried = max(sized.design_a[id], also_a.get(id, 0.0), sized.most_a(id)) / item.count
        _take(item, sized, carried, section / item.count, why, previous, bounds.need(id), ask.floor)


def _let_through(need: Need, sized: Sized) -> str:
    """Why a wire must carry so much, as what it is fused with or what sources add up to."""
    if len(need.limits) == 1 and sized.fuse_a.get(need.limits[0]) == need.carries_a:
        return f"carries its {need.carries_a:g} A fuse"
    return f"carries the {need.carries_a:g} A that its fuses and sources let through"


def _take(
    item: Conductor,
    sized: Sized,
    needed_a: float,
    area_mm2: float,
    why: str,
    previous: Mapping[str, int],
    need: Need,
    floor: Mapping[str, int],
) -> None:
    """The thinnest allowed gauge that carries ``needed_a`` and has at least ``area_mm2``.

    It must also meet what the proofs of protection ask.
    """
    id = item.run.id
    index = len(item.allowed) - 1
    carrying: int | None = None
    for i, gauge in enumerate(item.allowed):
        wide = conductors.area_mm2(gauge) >= area_mm2 * conductors.SAME_SIZE
        if wide and item.ampacity_a(gauge) >= needed_a * (1 - 1e-9):
            carrying = i if carrying is None else carrying
            if need.holds(coordination.wire(item, gauge)):
                index = i
                break
    if item.run.polarity is Polarity.GROUND and carrying is not None and index > carrying:
        why = "brings back what fuses let through until they open"
    if floor.get(id, -1) > index:
        index, why = floor[id], "outlasts every short that sources share"
    if previous.get(id, -1) > index:
        index, why = previous[id], sized.why[id]
    sized.gauge[id], sized.why[id] = item.allowed[index], why


def _ground_need(
    wiring: Wiring, items: Mapping[str, Conductor], sized: Sized, item: Conductor
) -> tuple[float, str]:
    """The least area of a ground run, its wires together [mm2], and why it has the size it has.

    The same gauge as its branch for one amplifier; a battery's ground matches the battery's
    thickest power run. Common practice. What fuses let through, the proofs of protection ask.
    """
    id = item.run.id
    current = sized.design_a[id]
    battery = next((e for e in (item.run.source, item.run.target) if e.startswith("b")), "")
    if battery:
        return _thickest_mm2(items, sized, battery), BATTERY_GROUND
    amplifiers = wiring.returns.get(id, ())
    branches = [wiring.feed[a].runs for a in amplifiers if wiring.feed[a].runs]
    if len(amplifiers) == 1 and branches:
        branch = branches[0][0]
        return items[branch].section_mm2(sized.gauge[branch]), "as thick as its power run"
    return 0.0, f"carries {current / item.count:.0f} A"


BATTERY_GROUND = "as thick as the battery's power run"
"""Why a battery's ground has its size."""


def _thickest_mm2(items: Mapping[str, Conductor], sized: Sized, battery: str) -> float:
    """Area of the thickest new power run at a battery [mm2]; 0 where there is none."""
    return max(
        (
            item.section_mm2(sized.gauge[id])
            for id, item in items.items()
            if item.run.polarity is Polarity.POSITIVE
            and battery in (item.run.source, item.run.target)
            and not item.run.existing
        ),
        default=0.0,
    )


def _match_battery_grounds(items: Mapping[str, Conductor], sized: Sized) -> None:
    """A battery's ground follows its power run where that was thickened for the drop."""
    for id, item in items.items():
        if item.fixed or item.run.polarity is not Polarity.GROUND:
            continue
        for end in (item.run.source, item.run.target):
            if not end.startswith("b"):
                continue
            area = _thickest_mm2(items, sized, end) * conductors.SAME_SIZE
            for gauge in item.allowed[item.allowed.index(sized.gauge[id]) :]:
                if item.section_mm2(sized.gauge[id]) >= area:
                    break
                sized.gauge[id], sized.why[id] = gauge, BATTERY_GROUND


def _meet_drop(
    build: Build,
    wiring: Wiring,
    items: Mapping[str, Conductor],
    sized: Sized,
    solved_gauge: Mapping[str, str],
    solved_fuse: Mapping[str, float],
) -> None:
    """Go up in gauge with the least copper until every amplifier is inside the drop limit."""
    drop_v = {
        a.id: sum(drops(wiring, sized, a.id))
        for a in build.amplifiers
        if wiring.feed[a.id].battery and wiring.ret[a.id].battery
    }
    solved = drop_budget.Solved(sized.design_a, solved_gauge, solved_fuse, drop_v)
    gauge, sized.over_v, sized.exact = drop_budget.thicken(
        build, wiring, items, solved, sized.gauge, sized.fuse_a
    )
    for id, chosen in gauge.items():
        if chosen != sized.gauge[id]:
            sized.gauge[id] = chosen
            sized.why[id] = f"keeps the drop inside {build.header.drop_limit_v:g} V"
    _match_battery_grounds(items, sized)
