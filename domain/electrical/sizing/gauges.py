"""The thinnest gauge of every run that its currents and the proofs of protection allow."""

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from functools import lru_cache
from math import sqrt

from msgspec.structs import replace

from domain.build.choices import Insulation, Polarity
from domain.electrical import conductors
from domain.electrical.network import run_conductor
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.network.wiring import Wiring
from domain.electrical.protection.bounds import Need
from domain.electrical.protection.overload import ROUNDING
from domain.electrical.protection.proofs import burns_from_a
from domain.electrical.protection.withstand import Wire
from domain.electrical.sizing.asked import Asked
from domain.electrical.sizing.sized import NOTHING_SOLVED, Sized
from domain.electrical.sizing.thinning import thickest_mm2
from domain.reference.planning import planned


def places(items: Mapping[str, Conductor], sized: Sized) -> dict[str, int]:
    """Where each gauge that is not fixed stands among those its run may have."""
    return {id: item.allowed.index(sized.gauge[id]) for id, item in items.items() if not item.fixed}


def choose_gauges(
    wiring: Wiring,
    items: Mapping[str, Conductor],
    sized: Sized,
    previous: Mapping[str, int],
    ask: Asked,
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
            if need.carries_a > ask.wires(id)[-1].ampacity_a * (1 + ROUNDING):
                need = _attainable(ask.wires(id), need)
            carried, why = _carried(item, sized)
            if 0 < need.carries_a >= carried * (1 - 1e-9):
                why = _let_through(need, sized)
            least = max(need.carries_a, carried)
            _take(item, sized, least, 0.0, why, previous, need, ask)
    for item in grounds:
        id = item.run.id
        section, why = _ground_need(wiring, items, sized, item)
        area = section / item.count
        carried, _ = _carried(item, sized)
        _take(item, sized, carried, area, why, previous, bounds.need(id), ask)


def _carried(item: Conductor, sized: Sized) -> tuple[float, str]:
    """The ampacity that a wire must have for what it carries [A], and why.

    On a post, stud or terminal it is no warmer at its lasting current than that stands: its rise
    is as the square of current over ampacity, at which it reaches its insulation's class.
    """
    carried = sized.carries_a(item)
    id = item.run.id
    lasting = max(
        sized.programme_a[id],
        sized.solved_a.get(id, NOTHING_SOLVED)[1],
        sized.seen_a.get(id, NOTHING_SOLVED)[1],
    )
    cool = cool_a(item, lasting / item.run.count)
    if cool > carried:
        return cool, f"stays below {planned('terminal_max_c'):g} C at its terminals"
    return carried, f"carries {carried:.0f} A"


def cool_a(item: Conductor, lasting_a: float) -> float:
    """Ampacity at which a wire's terminals stand a lasting current of its own [A].

    0 where it ends on none, or at none they would.
    """
    if not run_conductor.ends_on_terminal(item.run):
        return 0.0
    return lasting_a * _cooler(item.run.insulation, item.ambient_c)


@lru_cache(maxsize=256)
def _cooler(insulation: Insulation, around_c: float) -> float:
    """Ampacity over lasting current of a wire no warmer than a terminal may be; 0: it never is."""
    class_c, most_c = insulation.celsius, planned("terminal_max_c")
    if not around_c < most_c < class_c:
        return 0.0
    return sqrt((class_c - around_c) / (most_c - around_c))


def _attainable(wires: Sequence[Wire], need: Need) -> Need:
    """What is left to ask where no gauge carries what comes in ahead of a fuse that is too far.

    That it is no STOP, where a gauge sees to that; and what passes through in any case.
    """
    least = need.through_a
    for wire in wires:
        if burns_from_a(wire) >= need.carries_a:
            least = max(least, wire.ampacity_a)
            break
    return replace(need, carries_a=min(least, need.carries_a))


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
    ask: Asked,
) -> None:
    """The thinnest allowed gauge that carries ``needed_a`` and has at least ``area_mm2``.

    It must also meet what the proofs of protection ask.
    """
    id, allowed, wires = item.run.id, item.allowed, ask.wires(item.run.id)
    needed_a *= 1 - 1e-9
    wide = bisect_left(_areas_mm2(allowed), area_mm2 * conductors.SAME_SIZE)
    carrying: int | None = None
    index = len(allowed) - 1
    for i in range(wide, len(allowed)):
        if wires[i].ampacity_a >= needed_a:
            carrying = i if carrying is None else carrying
            if need.holds(wires[i]):
                index = i
                break
    if item.run.polarity is Polarity.GROUND and wide < len(allowed):
        if carrying is None or carrying > wide:
            why = f"carries {needed_a:.0f} A"
        if carrying is not None and index > carrying:
            why = "brings back what fuses let through until they open"
    if ask.floor.get(id, -1) > index:
        index, why = ask.floor[id], "outlasts every short that sources share"
    if previous.get(id, -1) > index:
        index, why = previous[id], sized.why[id]
    sized.gauge[id], sized.why[id] = allowed[index], why


@lru_cache(maxsize=256)
def _areas_mm2(gauges: tuple[str, ...]) -> tuple[float, ...]:
    """Areas of gauges, thin to thick [mm2]."""
    return tuple(map(conductors.area_mm2, gauges))


def _ground_need(
    wiring: Wiring, items: Mapping[str, Conductor], sized: Sized, item: Conductor
) -> tuple[float, str]:
    """The least area of a ground run, its wires together [mm2], and why it has the size it has.

    The same gauge as its branch for one amplifier; a battery's ground matches the battery's
    thickest power run. Common practice. What fuses let through, the proofs of protection ask.
    """
    id = item.run.id
    battery = next((e for e in (item.run.source, item.run.target) if e.startswith("b")), "")
    if battery:
        return thickest_mm2(items, sized, battery), BATTERY_GROUND
    amplifiers = wiring.returns.get(id, ())
    branches = [wiring.feed[a].runs for a in amplifiers if wiring.feed[a].runs]
    if len(amplifiers) == 1 and branches:
        branch = branches[0][0]
        return items[branch].section_mm2(sized.gauge[branch]), "as thick as its power run"
    return 0.0, f"carries {sized.carries_a(item):.0f} A"


BATTERY_GROUND = "as thick as the battery's power run"
"""Why a battery's ground has its size."""


def match_grounds(wiring: Wiring, items: Mapping[str, Conductor], sized: Sized) -> None:
    """A ground follows its power run where that was thickened for the drop.

    A battery's its thickest power run; that of a single amplifier its branch, if that feeds no
    other.
    """
    for id, item in items.items():
        if item.fixed or item.run.polarity is not Polarity.GROUND:
            continue
        ends = (item.run.source, item.run.target)
        batteries = [end for end in ends if end.startswith("b")]
        area, why = 0.0, BATTERY_GROUND
        for battery in batteries:
            area = max(area, thickest_mm2(items, sized, battery))
        if not batteries:
            users = wiring.returns.get(id, ())
            branch = wiring.feed[users[0]].runs[:1] if len(users) == 1 else ()
            if branch and wiring.feeds.get(branch[0]) == users:
                area, why = _ground_need(wiring, items, sized, item)
        for gauge in item.allowed[item.allowed.index(sized.gauge[id]) :]:
            if item.section_mm2(sized.gauge[id]) >= area * conductors.SAME_SIZE:
                break
            sized.gauge[id], sized.why[id] = gauge, why
