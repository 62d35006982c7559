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
from domain.electrical.network.run_conductor import Conductor
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
from domain.electrical.sizing.pairs import Pairs, Row


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
        self._ground_of = {branch: ground for ground, branch in self._pairs.items()}
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
        rows = {id: _row(items[id], least[id]) for id in self._runs}
        volts = {id: _drops_v(items[id], rows[id].gauges, amperes[id], fuse_a) for id in self._runs}
        options = self._options(rows, volts)
        drop_v = {}
        for id in self._runs:
            gauge, gauges = solved.gauge[id], rows[id].gauges
            if gauge in gauges and solved.fuse_a.get(id) == fuse_a.get(id):
                drop_v[id] = volts[id][gauges.index(gauge)]
            else:
                (drop_v[id],) = _drops_v(items[id], (gauge,), amperes[id], solved.fuse_a)
        problem = Problem(
            options=options,
            paths=self._unpaired,
            budget={
                a: steps_down(self._limit_v - (solved.drop_v[a] - sum(drop_v[id] for id in path)))
                for a, path in self._paths.items()
            },
        )
        found = choose(problem)
        over = {a: steps * STEP_V for a, steps in found.over.items()}
        exact = found.exact and not self._loops
        return self._written(found, rows, options), over, exact

    def _options(
        self, rows: Mapping[str, Row], volts: Mapping[str, Sequence[float]]
    ) -> dict[str, Sequence[Option]]:
        """The options of every run, a branch with its ground taken as one."""
        found: dict[str, Sequence[Option]] = {}
        for id in self._runs:
            if id in self._pairs:
                continue
            ground, row, steps = self._ground_of.get(id), rows[id], steps_up(volts[id])
            if ground is None:
                each = zip(row.gauges, steps, row.costs, row.ranks, strict=True)
                found[id] = [_OPTION(Option, option) for option in each]
            else:
                home = steps_up(volts[ground])
                wires = self._items[id].count / self._items[ground].count
                found[id] = Pairs(row, steps, rows[ground], home, wires)
        return found

    def _written(
        self, found: Choice, rows: Mapping[str, Row], options: Mapping[str, Sequence[Option]]
    ) -> dict[str, str]:
        gauge = {}
        for id, at in found.index.items():
            each, ground = options[id], self._ground_of.get(id)
            if ground is not None and isinstance(each, Pairs):
                there, back = each.places(at)
                gauge[id], gauge[ground] = rows[id].gauges[there], rows[ground].gauges[back]
            else:
                gauge[id] = rows[id].gauges[at]
        return gauge


_OPTION = tuple.__new__
"""Dozens are made at a key: a third of the time of the call by name."""


def _drops_v(
    item: Conductor, gauges: Sequence[str], amperes: float, fuse_a: Mapping[str, float]
) -> list[float]:
    """The drop of a run in each of these gauges [V]; a fuse not yet chosen adds none."""
    fuse = fuse_a.get(item.run.id)
    known = None if fuse == inf else fuse
    return item.drops_v(gauges, amperes, known)


def _row(item: Conductor, least: str) -> Row:
    """The sizes that a run may have from ``least`` on; one that is fixed costs nothing."""
    run = item.run
    if item.fixed:
        return Row((item.fixed,), (0,), (0,))
    ranked = run.polarity is not Polarity.GROUND
    return _sizes(item.allowed, least, run.metal, item.wire_m, item.count, ranked)


@lru_cache(maxsize=4096)
def _sizes(
    gauges: tuple[str, ...], least: str, metal: Metal, wire_m: float, count: int, ranked: bool
) -> Row:
    """Costs [mg] and ranks of a run from a gauge on: the same in most rounds, and at most keys."""
    gauges = gauges[gauges.index(least) :]
    masses = (count * conductors.conductor_kg(gauge, metal, wire_m) for gauge in gauges)
    return Row(
        gauges,
        tuple(round(mass_kg * 1e6) for mass_kg in masses),
        tuple(_rank(conductors.area_mm2(gauge) * count) if ranked else 0 for gauge in gauges),
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
