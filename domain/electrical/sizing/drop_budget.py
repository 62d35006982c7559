"""From a solved network to the least copper that keeps its drops inside the limit.

Each run's drop in each size is taken at the current and temperature of the solved network; what
is not wire (the body, isolators) is taken off every amplifier's budget. An amplifier's own
ground run is chosen together with its branch, so that it is never the thinner of the two.
"""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from math import inf, log

from msgspec import Struct

from domain.build.choices import Metal, Polarity
from domain.build.records import Build
from domain.electrical import conductors
from domain.electrical.loads import takers
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


class Solved(Struct, frozen=True):
    """A solved design state: currents [A], the gauges and fuses it had, amplifier drops [V]."""

    amperes: Mapping[str, float]
    gauge: Mapping[str, str]
    fuse_a: Mapping[str, float]
    drop_v: Mapping[str, float]


class DropBudget:
    """The drops of one build's wiring: what lies on each amplifier's way does not change."""

    def __init__(self, build: Build, wiring: Wiring, items: Mapping[str, Conductor]) -> None:
        """``items`` are the wires of the runs by run id."""
        self._limit_v = build.header.drop_limit_v
        self._items = items
        self._loops = bool(wiring.loops)
        self._paths = {
            a.id: wiring.feed[a.id].runs + wiring.ret[a.id].runs
            for a in takers(build)
            if wiring.feed[a.id].battery and wiring.ret[a.id].battery
        }
        self._runs = dict.fromkeys(id for path in self._paths.values() for id in path)
        self._pairs = _pairs(wiring, items, self._paths)
        self._unpaired = {
            a: tuple(id for id in path if id not in self._pairs) for a, path in self._paths.items()
        }

    def thicken(
        self, solved: Solved, least: Mapping[str, str], fuse_a: Mapping[str, float]
    ) -> tuple[dict[str, str], dict[str, float], bool]:
        """The cheapest gauges, none thinner than ``least``, that keep the drops inside the limit.

        Returns the gauges of the runs that lie on some amplifier's way, the amplifiers that stay
        over the limit with what they are over by [V], and whether the choice is exact.
        """
        items, amperes = self._items, solved.amperes
        options = {id: _options(items[id], least[id], amperes[id], fuse_a) for id in self._runs}
        joint = {
            branch: _pair_options(options[branch], options[ground], items[branch], items[ground])
            for ground, branch in self._pairs.items()
        }
        drop_v = {
            id: _drops_v(items[id], (solved.gauge[id],), amperes[id], solved.fuse_a)[0]
            for id in self._runs
        }
        problem = Problem(
            options={
                id: [option for option, _, _ in joint[id]] if id in joint else each
                for id, each in options.items()
                if id not in self._pairs
            },
            paths=self._unpaired,
            budget={
                a: steps_down(self._limit_v - (solved.drop_v[a] - sum(drop_v[id] for id in path)))
                for a, path in self._paths.items()
            },
        )
        found = choose(problem)
        over = {a: steps * STEP_V for a, steps in found.over.items()}
        exact = found.exact and not self._loops
        return _written(found, options, joint, self._pairs), over, exact


def _drops_v(
    item: Conductor, gauges: Sequence[str], amperes: float, fuse_a: Mapping[str, float]
) -> list[float]:
    """The drop of a run in each of these gauges [V]; a fuse not yet chosen adds none."""
    fuse = fuse_a.get(item.run.id)
    known = None if fuse == inf else fuse
    return [ohm * amperes for ohm in item.resistances_ohm(gauges, amperes, known)]


def _options(
    item: Conductor, least: str, amperes: float, fuse_a: Mapping[str, float]
) -> list[Option]:
    run = item.run
    if item.fixed:
        (drop,) = _drops_v(item, (item.fixed,), amperes, fuse_a)
        return [Option(item.fixed, steps_up(drop), 0, 0)]
    at = item.allowed.index(least)
    gauges = item.allowed[at:]
    drops = _drops_v(item, gauges, amperes, fuse_a)
    costs, ranks = _sizes(item.allowed, run.metal, item.wire_m, item.count)
    if run.polarity is Polarity.GROUND:
        ranks = (0,) * len(ranks)
    new = tuple.__new__  # hundreds at a key: a third of the time of the call by name
    each = zip(gauges, map(steps_up, drops), costs[at:], ranks[at:], strict=True)
    return [new(Option, option) for option in each]


@lru_cache(maxsize=2048)
def _sizes(
    gauges: tuple[str, ...], metal: Metal, wire_m: float, count: int
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Costs [mg] and ranks of a run in these gauges: the same in every round, and at most keys."""
    masses = (count * conductors.conductor_kg(gauge, metal, wire_m) for gauge in gauges)
    return (
        tuple(round(mass_kg * 1e6) for mass_kg in masses),
        tuple(_rank(conductors.area_mm2(gauge) * count) for gauge in gauges),
    )


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
    new = tuple.__new__  # hundreds at a key: a third of the time of the call by name
    there, home = tuple(option.gauge for option in branch), tuple(option.gauge for option in ground)
    wide = _wide_enough(there, home, to.count / back.count)
    for i, (gauge, drop, cost, rank) in enumerate(branch):
        best: int | None = None
        for j in wide[i]:
            back_drop = ground[j].drop
            if best is None or back_drop < best:
                best = back_drop
                both = new(Option, (gauge, drop + best, cost + ground[j].cost, rank))
                kept.append((both, i, j))
    return kept


@lru_cache(maxsize=1024)
def _wide_enough(
    branch: tuple[str, ...], ground: tuple[str, ...], wires: float
) -> tuple[list[int], ...]:
    """For each gauge of a branch the grounds no thinner, by place; else the last.

    ``wires`` is how many the branch has for each of the ground's.
    """
    found = []
    for gauge in branch:
        area = conductors.area_mm2(gauge) * wires * conductors.SAME_SIZE
        wide = [j for j, back in enumerate(ground) if conductors.area_mm2(back) >= area]
        found.append(wide or [len(ground) - 1])
    return tuple(found)


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
