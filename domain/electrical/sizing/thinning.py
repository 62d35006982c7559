"""One size thinner where the solved network says that it does.

The search for the least copper takes currents as they stand. Where they find more than one way
they shift as sizes change, so that its answer may keep a size that nothing needs.
"""

from collections.abc import Callable, Mapping

from domain.build.choices import Polarity
from domain.build.records import Build
from domain.electrical import conductors
from domain.electrical.network.system import Conductor
from domain.electrical.network.wiring import Wiring
from domain.electrical.sizing.sized import Sized, inside_limit, note_least


def thin(
    build: Build,
    wiring: Wiring,
    items: Mapping[str, Conductor],
    sized: Sized,
    least: Mapping[str, str],
    solve: Callable[[], None],
) -> None:
    """Take runs that were thickened for the drop down again, one size at a time.

    ``least`` are the gauges that the fuses and currents ask for, none goes below its own;
    ``solve`` solves the design state with the gauges as they stand.
    """
    thinned = True
    while thinned:
        thinned = False
        for id in sorted(least, key=lambda id: -items[id].wire_m):
            item, was = items[id], sized.gauge[id]
            if item.fixed or item.allowed.index(was) <= item.allowed.index(least[id]):
                continue
            thinner = item.allowed[item.allowed.index(was) - 1]
            if not _suits(wiring, items, sized, id, thinner):
                continue
            sized.gauge[id] = thinner
            solve()
            note_least(items, sized)
            if inside_limit(build, wiring, sized) and _carried(items, sized):
                thinned = True
                continue
            sized.gauge[id] = was
            solve()
            note_least(items, sized)


def _suits(
    wiring: Wiring, items: Mapping[str, Conductor], sized: Sized, id: str, gauge: str
) -> bool:
    """Whether no run behind it is thicker, and an amplifier's ground no thinner than its branch."""
    if sized.why[id].startswith("as thick as"):
        return False
    area = items[id].section_mm2(gauge)
    for a in wiring.feeds.get(id, ()):
        way = wiring.feed[a].runs
        for behind in way[: way.index(id)] if id in way else ():
            if items[behind].section_mm2(sized.gauge[behind]) * conductors.SAME_SIZE > area:
                return False
    users = wiring.returns.get(id, ())
    if items[id].run.polarity is Polarity.GROUND and len(users) == 1:
        branch = wiring.feed[users[0]].runs[:1]
        return all(
            area >= items[b].section_mm2(sized.gauge[b]) * conductors.SAME_SIZE for b in branch
        )
    return True


def _carried(items: Mapping[str, Conductor], sized: Sized) -> bool:
    """Whether every fuse and every wire carries the currents as they stand now."""
    return all(sized.fuse_a[id] >= a * (1 - 1e-9) for id, a in sized.least_a.items()) and all(
        item.fixed
        or item.ampacity_a(sized.gauge[id]) * item.count >= sized.design_a[id] * (1 - 1e-9)
        for id, item in items.items()
    )
