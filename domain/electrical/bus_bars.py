"""Bus bars: what a copper bar of this section carries, and the one that suits what flows.

Free-air currents of a handbook table of flat copper bars at rises of 30, 50 and 65 K, straight on
log-log paper between them, and four fifths of that as a vehicle's bars lie under a cover.
"""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from itertools import product
from math import exp, inf, log

from domain.build.choices import BlockKind, Polarity
from domain.build.records import Block, Build, Run
from domain.document.records import find
from domain.electrical.network.run_conductor import NO_ZONE_C
from domain.reference.csv_tables import load
from domain.reference.planning import planned
from domain.sheet import NetworkState, RunResult

SOURCES = ("b", "g")
"""How the ids of batteries and alternators begin."""

MOST_TRIED = 8
"""Wires with a source behind them of which every way to work together is looked at."""

Section = tuple[float, float]
"""Width and thickness of a bar [m]."""


@lru_cache(maxsize=1)
def _bars() -> dict[Section, tuple[tuple[float, float], ...]]:
    """Width and thickness [m] -> (rise [K], current [A]), small rise first."""
    found: dict[Section, list[tuple[float, float]]] = {}
    for row in load("bus_bars", ("width_mm", "thickness_mm", "rise_k", "current_a")):
        size = (float(row["width_mm"]) / 1000, float(row["thickness_mm"]) / 1000)
        found.setdefault(size, []).append((float(row["rise_k"]), float(row["current_a"])))
    return {size: tuple(sorted(points)) for size, points in found.items()}


def free_air_a(section: Section, rise_k: float) -> float:
    """What one flat bar carries in still air at this rise above it [A].

    Of bars that are not listed, the largest listed one counts that is larger in neither direction;
    where all are larger, the best of them in proportion to how much narrower and thinner it is:
    the current falls with the root of section times surface, so that is the safe side. A rise
    beyond the table counts as its last.
    """
    width, thick = section[0] * (1 + 1e-3), section[1] * (1 + 1e-3)
    inside = [points for (w, t), points in _bars().items() if w <= width and t <= thick]
    if inside:
        return max(_at(points, rise_k) for points in inside)
    return max(
        _at(points, rise_k) * min(1.0, width / w) * min(1.0, thick / t)
        for (w, t), points in _bars().items()
    )


def _at(points: tuple[tuple[float, float], ...], rise_k: float) -> float:
    if rise_k <= 0:
        return 0.0
    rise = min(rise_k, points[-1][0])
    at = next((i for i, (r, _) in enumerate(points[1:], 1) if rise <= r), len(points) - 1)
    (r0, a0), (r1, a1) = points[at - 1], points[at]
    share = log(rise / r0) / log(r1 / r0)
    return exp(log(a0) + share * (log(a1) - log(a0)))


def holds_a(section: Section, ambient_c: float) -> float:
    """What a bar carries for good in its place [A]: its table current at what it may warm by."""
    return planned("bus_bar_share") * free_air_a(section, planned("bus_bar_c") - ambient_c)


def suits(carries_a: float, ambient_c: float, block: Block | None = None) -> Section | None:
    """The listed bar with the least copper that carries so much; ``None`` if none does.

    A width or thickness that is entered stays: the other is chosen to suit, the largest listed
    where none does, so that what is said of it is said of what was entered.
    """
    width, thick = (block.bar_width_m, block.bar_thick_m) if block else (None, None)
    sizes = {(width or w, thick or t) for w, t in _bars()}
    able = [size for size in sizes if holds_a(size, ambient_c) >= carries_a]
    if not able and (width or thick):
        return max(sizes)
    return min(able, key=lambda size: (size[0] * size[1], size), default=None)


def ambient_c(build: Build, block: Block) -> float:
    """Air around a bar [C]: its zone's, 50 C where it has none."""
    zone = find(build, block.zone) if block.zone else None
    return NO_ZONE_C if zone is None else float(zone.ambient_c)


def carries_a(build: Build, states: Sequence[NetworkState], block: Block, level: str) -> float:
    """The most that any section of a bar carries in a solved state at a level [A].

    "programme" or "tone". What comes in leaves again: half of all currents at its studs, in
    whatever order the wires are bolted on.
    """
    own = [run.id for run in build.runs if block.id in (run.source, run.target)]
    return max(
        (
            sum(abs(state.current_a[id]) for id in own) / 2
            for state in states
            if state.converged and state.id.endswith(level)
        ),
        default=0.0,
    )


def for_good_a(
    build: Build,
    states: Sequence[NetworkState],
    between: Mapping[str, float],
    block: Block,
) -> float:
    """The most that a bar carries for good [A]: in a solved state, or in one run between sources.

    The states stand at one charge of the batteries; ``between`` is what a run between sources
    may have to carry [A] by id, charge and what evens batteries out.
    """
    solved = carries_a(build, states, block, "programme")
    own = (r.id for r in build.runs if block.id in (r.source, r.target))
    return max(solved, *(between.get(id, 0.0) for id in own), 0.0)


def section_of(
    build: Build,
    states: Sequence[NetworkState],
    runs: Sequence[RunResult],
    between: Mapping[str, float],
    block: Block,
) -> tuple[Section | None, float | None, float]:
    """Section, what it holds and what it carries for good [A] of a bus bar.

    A rating from its label goes before its section; what is left open is chosen to suit, and to
    hold what the fuses at it let through for good.
    """
    air = ambient_c(build, block)
    carried = for_good_a(build, states, between, block)
    peak = carries_a(build, states, block, "tone") / planned("overcurrent_fraction")
    if block.rated_a is not None:
        return None, block.rated_a, carried
    section = suits(max(carried, peak, ahead_a(build, runs, block)), air, block)
    return section, None if section is None else holds_a(section, air), carried


def ahead_a(build: Build, runs: Sequence[RunResult], block: Block) -> float:
    """What fuses let through a bar for good [A]; zero where they limit nothing.

    It is no more than all that bring current let in, and no more than all that take it let out.
    Every wire takes, be it into a fault; one with a source behind it brings as well, as that of a
    battery which is charged at times: of all that such wires may do at once the most counts.
    """
    rated = {r.id: (r.fuse_a or inf) * r.count for r in runs}
    own = [
        r
        for r in build.runs
        if r.polarity is Polarity.POSITIVE and r.id in rated and block.id in (r.source, r.target)
    ]
    bring, take = list[float](), 0.0
    for run in own:
        if _source_behind(build, block, run):
            bring.append(rated[run.id])
        else:
            take += rated[run.id]
    if len(bring) > MOST_TRIED:
        least = sum(bring)  # the safe side
    else:
        least = max(_passes(bring, take, way) for way in product((True, False), repeat=len(bring)))
    return 0.0 if least == inf else least


def _passes(bring: Sequence[float], take: float, way: Sequence[bool]) -> float:
    """What passes with each of the wires that may bring current doing so, or taking it [A]."""
    pairs = list(zip(bring, way, strict=True))
    into = sum(amperes for amperes, brings in pairs if brings)
    return min(into, take + sum(amperes for amperes, brings in pairs if not brings))


def _source_behind(build: Build, block: Block, run: Run) -> bool:
    """Whether a battery or an alternator is reached along a wire, not back through the bar."""
    start = run.target if run.source == block.id else run.source
    seen, ahead = {block.id, start}, [start]
    while ahead:
        here = ahead.pop()
        if here.startswith(SOURCES):
            return True
        for other in build.runs:
            if other.polarity is Polarity.POSITIVE and here in (other.source, other.target):
                far = other.target if other.source == here else other.source
                if far and far not in seen:
                    seen.add(far)
                    ahead.append(far)
    return False


def is_bus_bar(block: Block) -> bool:
    """Whether a block is a bus bar."""
    return block.kind is BlockKind.BUS_BAR
