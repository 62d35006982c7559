"""Bus bars: what a copper bar of this section carries, and the one that suits what flows.

Free-air currents of a handbook table of flat copper bars at rises of 30, 50 and 65 K, straight on
log-log paper between them, and four fifths of that as a vehicle's bars lie under a cover.
"""

from collections.abc import Sequence
from functools import lru_cache
from math import exp, log

from domain.build.choices import BlockKind, Polarity
from domain.build.records import Block, Build
from domain.document.records import find
from domain.electrical.network.system import NO_ZONE_C
from domain.reference.csv_tables import load
from domain.reference.planning import planned
from domain.sheet import NetworkState, RunResult

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
    zero for a bar that is smaller than any. A rise beyond the table counts as its last.
    """
    width, thick = section[0] * (1 + 1e-3), section[1] * (1 + 1e-3)
    inside = [points for (w, t), points in _bars().items() if w <= width and t <= thick]
    return max((_at(points, rise_k) for points in inside), default=0.0)


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


def suits(carries_a: float, ambient_c: float) -> Section | None:
    """The listed bar with the least copper that carries so much; ``None`` if none does."""
    able = [size for size in _bars() if holds_a(size, ambient_c) >= carries_a]
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


def section_of(
    build: Build, states: Sequence[NetworkState], block: Block, ahead_a: float = 0.0
) -> tuple[Section | None, float | None, float]:
    """Section, what it holds and what it carries for good [A] of a bus bar.

    A rating from its label goes before its section; what is left open is chosen to suit, and to
    hold what the fuse ahead of it lets through for good, ``ahead_a``.
    """
    air = ambient_c(build, block)
    carried = carries_a(build, states, block, "programme")
    peak = carries_a(build, states, block, "tone") / planned("overcurrent_fraction")
    if block.rated_a is not None:
        return None, block.rated_a, carried
    wanted = suits(max(carried, peak, ahead_a), air)
    section = (
        block.bar_width_m or (wanted[0] if wanted else 0.0),
        block.bar_thick_m or (wanted[1] if wanted else 0.0),
    )
    if not all(section):
        return None, None, carried
    return section, holds_a(section, air), carried


def ahead_a(build: Build, runs: Sequence[RunResult], block: Block) -> float:
    """Rating of the fuses of its only feed [A]; zero where more than one feeds it, or none is."""
    feeds = [r for r in build.runs if r.target == block.id and r.polarity is Polarity.POSITIVE]
    if len(feeds) != 1 or not feeds[0].fused:
        return 0.0
    result = next((r for r in runs if r.id == feeds[0].id), None)
    return (result.fuse_a or 0.0) * feeds[0].count if result else 0.0


def is_bus_bar(block: Block) -> bool:
    """Whether a block is a bus bar."""
    return block.kind is BlockKind.BUS_BAR
