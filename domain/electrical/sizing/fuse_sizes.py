"""Ratings of fuses from the currents: as they come, taken back, taken up."""

from collections.abc import Callable, Mapping

from domain.build.records import Build
from domain.electrical import fuses
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.network.wiring import Wiring
from domain.electrical.sizing.asked import Asked
from domain.electrical.sizing.gauges import choose_gauges, places
from domain.electrical.sizing.sized import Sized, inside_limit, note_least

MOST_RAISED = 4
"""Times that fuses are taken up together; one nearly always does."""


def choose_fuses(items: Mapping[str, Conductor], sized: Sized, keep: bool) -> None:
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
            found = fuses.largest(run.fuse_family, sized.short_a.get(id, 0.0))
        rating, family = found
        if keep and sized.fuse_a[id] > rating:
            continue
        sized.fuse_a[id], sized.family[id] = rating, family


def larger_fuses(
    wiring: Wiring,
    items: Mapping[str, Conductor],
    sized: Sized,
    solve: Callable[[], None],
    ask: Asked,
) -> bool:
    """Where the last currents call for more than an auto fuse gives, take the next one.

    Wires go up with their fuses; those that cannot are found too thin, which is what has to be
    said. Returns whether one was taken: a larger fuse loses less, so that a wire may do thinner.
    """
    taken = False
    for _ in range(MOST_RAISED):
        changed = False
        for id, least in sized.least_a.items():
            run = items[id].run
            found = fuses.smallest(least, run.fuse_family, sized.short_a.get(id, 0.0))
            if run.fuse_a is None and found and sized.fuse_a[id] < least * (1 - 1e-9):
                sized.fuse_a[id], sized.family[id] = found
                changed = True
        if not changed:
            break
        taken = True
        choose_gauges(wiring, items, sized, places(items, sized), ask)
        solve()
        note_least(items, sized)
    return taken


def smaller_fuses(
    build: Build,
    items: Mapping[str, Conductor],
    sized: Sized,
    wiring: Wiring,
    solve: Callable[[], None],
) -> bool:
    """Take smaller fuses where they do in the wires that were chosen.

    A smaller fuse may have called for a thinner wire and that for the larger fuse again; with
    the wires settled, the smaller ones are tried once more, and again for as long as what flows
    then calls for less. Returns whether one was taken.
    """
    taken = False
    while _take_smaller(build, items, sized, wiring, solve):
        taken = True
    return taken


def _take_smaller(
    build: Build,
    items: Mapping[str, Conductor],
    sized: Sized,
    wiring: Wiring,
    solve: Callable[[], None],
) -> bool:
    """Try all smaller fuses at a time, then those that carried their current."""
    smaller = {}
    for id, rating in sized.fuse_a.items():
        run = items[id].run
        found = fuses.smallest(sized.least_a[id], run.fuse_family, sized.short_a.get(id, 0.0))
        if run.fuse_a is None and found and found[0] < rating:
            smaller[id] = found
    while smaller:
        before = sized.copy()
        for id, found in smaller.items():
            sized.fuse_a[id], sized.family[id] = found
        solve()
        note_least(items, sized)
        fitting = {
            id: found
            for id, found in smaller.items()
            if sized.least_a[id] <= sized.fuse_a[id] * (1 + 1e-9)
        }
        if len(fitting) == len(smaller) and inside_limit(build, wiring, sized):
            return True
        sized.restore(before)
        smaller = fitting if len(fitting) < len(smaller) else {}
    return False
