"""From a solved network to the least copper that keeps its drops inside the limit.

Each run's drop in each size is taken at the current and temperature of the solved network; what
is not wire (the body, isolators) is taken off every amplifier's budget. An amplifier's own
ground run is chosen together with its branch, so that it is never the thinner of the two.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import inf, log

from domain.build.choices import Polarity
from domain.build.records import Build
from domain.electrical import conductors
from domain.electrical.network.system import Conductor
from domain.electrical.network.wiring import Wiring
from domain.electrical.sizing.fronts import Option
from domain.electrical.sizing.least_copper import (
    STEP_V,
    Choice,
    Problem,
    choose,
    steps_down,
    steps_up,
)

_Drop = Callable[[str, str, float | None], float]


@dataclass(frozen=True, slots=True)
class Solved:
    """A solved design state: currents [A], the gauges and fuses it had, amplifier drops [V]."""

    amperes: Mapping[str, float]
    gauge: Mapping[str, str]
    fuse_a: Mapping[str, float]
    drop_v: Mapping[str, float]


def thicken(
    build: Build,
    wiring: Wiring,
    items: Mapping[str, Conductor],
    solved: Solved,
    least: Mapping[str, str],
    fuse_a: Mapping[str, float],
) -> tuple[dict[str, str], dict[str, float], bool]:
    """The cheapest gauges, none thinner than ``least``, that keep the drops inside the limit.

    Returns the gauges of the runs that lie on some amplifier's way, the amplifiers that stay
    over the limit with what they are over by [V], and whether the choice is exact.
    """
    paths = {a: wiring.feed[a].runs + wiring.ret[a].runs for a in solved.drop_v}
    runs = {id for path in paths.values() for id in path}
    gauges = {id: _gauges(items[id], least[id]) for id in runs}
    pairs = _pairs(wiring, items, paths)

    def drop(id: str, gauge: str, fuse: float | None) -> float:
        amperes = solved.amperes[id]
        known = None if fuse == inf else fuse
        return items[id].resistance_ohm(gauge, amperes, known) * amperes

    options = {id: _options(items[id], gauges[id], drop, fuse_a.get(id)) for id in runs}
    joint = {
        branch: _pair_options(options[branch], options[ground], items[branch], items[ground])
        for ground, branch in pairs.items()
    }
    limit = build.header.drop_limit_v
    budget = {}
    for a, path in paths.items():
        wires = sum(drop(id, solved.gauge[id], solved.fuse_a.get(id)) for id in path)
        budget[a] = steps_down(limit - (solved.drop_v[a] - wires))
    problem = Problem(
        options={
            id: [option for option, _, _ in joint[id]] if id in joint else each
            for id, each in options.items()
            if id not in pairs
        },
        paths={a: tuple(id for id in path if id not in pairs) for a, path in paths.items()},
        budget=budget,
    )
    found = choose(problem)
    over = {a: steps * STEP_V for a, steps in found.over.items()}
    exact = found.exact and not wiring.loops
    return _written(found, options, joint, pairs), over, exact


def _gauges(item: Conductor, least: str) -> Sequence[str]:
    if item.fixed:
        return (item.fixed,)
    return item.allowed[item.allowed.index(least) :]


def _options(
    item: Conductor, gauges: Sequence[str], drop: _Drop, fuse: float | None
) -> list[Option]:
    run = item.run
    return [
        Option(
            gauge,
            steps_up(drop(run.id, gauge, fuse)),
            0 if item.fixed else round(item.conductor_kg(gauge) * 1e6),
            0 if item.fixed or run.polarity is Polarity.GROUND else _rank(item.section_mm2(gauge)),
        )
        for gauge in gauges
    ]


def _rank(section_mm2: float) -> int:
    """Order of sizes by area, in classes about 18 % wide: AWG 2 and 35 mm2 are one size."""
    return round(log(section_mm2) / log(1 / conductors.SAME_SIZE) / 2) + 100


def _pairs(
    wiring: Wiring, items: Mapping[str, Conductor], paths: Mapping[str, Sequence[str]]
) -> dict[str, str]:
    """Ground run -> branch, for amplifiers that have one of each to themselves."""
    pairs = {}
    for a in paths:
        branch = wiring.feed[a].runs[:1]
        ground = wiring.ret[a].runs[:1]
        if not branch or not ground or items[ground[0]].fixed or items[ground[0]].run.existing:
            continue
        alone = wiring.feeds.get(branch[0]) == (a,) and wiring.returns.get(ground[0]) == (a,)
        if alone and items[ground[0]].run.polarity is Polarity.GROUND:
            pairs[ground[0]] = branch[0]
    return pairs


def _pair_options(
    branch: Sequence[Option], ground: Sequence[Option], to: Conductor, back: Conductor
) -> list[tuple[Option, int, int]]:
    """Branch and ground together, the ground no thinner (the thickest where none is as thick)."""
    kept: list[tuple[Option, int, int]] = []
    for i, b in enumerate(branch):
        area = to.section_mm2(b.gauge) * conductors.SAME_SIZE
        wide = [j for j, g in enumerate(ground) if back.section_mm2(g.gauge) >= area]
        best: int | None = None
        for j in wide or [len(ground) - 1]:
            if best is None or ground[j].drop < best:
                best = ground[j].drop
                both = Option(b.gauge, b.drop + best, b.cost + ground[j].cost, b.rank)
                kept.append((both, i, j))
    return kept


def _written(
    found: Choice,
    options: Mapping[str, Sequence[Option]],
    joint: Mapping[str, Sequence[tuple[Option, int, int]]],
    pairs: Mapping[str, str],
) -> dict[str, str]:
    gauge = {}
    for id, index in found.index.items():
        at = joint[id][index][1] if id in joint else index
        gauge[id] = options[id][at].gauge
    for ground, branch in pairs.items():
        gauge[ground] = options[ground][joint[branch][found.index[branch]][2]].gauge
    return gauge
