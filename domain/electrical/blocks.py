"""Blocks: the wire that each side takes, as entered or as the wires there ask for."""

from collections.abc import Mapping
from types import MappingProxyType

from domain.build.choices import BlockKind
from domain.build.records import Block, Build, Run
from domain.document.kept import kept
from domain.electrical import bus_bars, conductors
from domain.electrical.network import run_conductor
from domain.sheet import BlockResult, NetworkState, RunResult

LEAST_IN_MM2, LEAST_OUT_MM2 = 20.0, 8.0
"""No block is sold for less [mm2]: AWG 4 or 25 mm2 in, AWG 8 or 10 mm2 out. Common practice."""


NOTHING: Mapping[str, float] = MappingProxyType({})


def block_results(
    build: Build,
    runs: tuple[RunResult, ...],
    states: tuple[NetworkState, ...] = (),
    between: Mapping[str, float] = NOTHING,
) -> tuple[BlockResult, ...]:
    """One result per block; a side left to the engine takes the thickest wire that is on it.

    An isolator has the same stud on both sides, and so has a bus bar, whose section suits what
    flows in the solved states and ``between`` sources, by run id [A].
    """
    found = []
    ending = _ending(runs)
    for block in build.blocks:
        inward: list[str] = []
        outward: list[str] = []
        for gauge, at_source in ending.get(block.id, ()):
            (inward if run_conductor.main_side(block, at_source) else outward).append(gauge)
        least_out_mm2 = LEAST_OUT_MM2
        bar: tuple[bus_bars.Section | None, float | None, float] = (None, None, 0.0)
        if bus_bars.is_bus_bar(block):
            bar = bus_bars.section_of(build, states, runs, between, block)
        if block.kind in (BlockKind.ISOLATOR, BlockKind.BUS_BAR):
            inward = outward = inward + outward
            least_out_mm2 = LEAST_IN_MM2
        found.append(
            BlockResult(
                id=block.id,
                name=block.name or block.id,
                largest_in=block.largest_in or _taking(build, inward, LEAST_IN_MM2),
                largest_out=block.largest_out or _taking(build, outward, least_out_mm2),
                bar_m=bar[0],
                bar_holds_a=bar[1],
                bar_carries_a=bar[2],
            )
        )
    return tuple(found)


def bought_as(block: Block) -> str:
    """What a block is bought as: the name that its words for a counter stand under."""
    if block.kind is BlockKind.ISOLATOR:
        return block.isolates or block.kind
    if block.kind is BlockKind.DISTRIBUTION and block.fused:
        return "fused distribution"
    return block.kind


def places_used(build: Build, block: Block) -> int:
    """How many of a block's places have a wire on them."""
    return sum(
        count
        for count, at_source in _counts_at(build.runs).get(block.id, ())
        if not run_conductor.main_side(block, at_source)
    )


@kept(8)
def _counts_at(runs: tuple[Run, ...]) -> dict[str, list[tuple[int, bool]]]:
    """Device id -> (wires, whether it begins there) of every run there."""
    found: dict[str, list[tuple[int, bool]]] = {}
    for run in runs:
        found.setdefault(run.source, []).append((run.count, True))
        found.setdefault(run.target, []).append((run.count, False))
    return found


def _ending(runs: tuple[RunResult, ...]) -> dict[str, list[tuple[str, bool]]]:
    """Device id -> (gauge, whether it begins there) of every run there."""
    found: dict[str, list[tuple[str, bool]]] = {}
    for run in runs:
        found.setdefault(run.source, []).append((run.gauge, True))
        found.setdefault(run.target, []).append((run.gauge, False))
    return found


def _taking(build: Build, gauges: list[str], least_mm2: float) -> str:
    """The smallest size in stock that takes all these wires, the thickest wire if none does."""
    for size in conductors.stock(build.header.wire_sizes):
        if conductors.area_mm2(size) >= least_mm2 and all(
            conductors.fits(gauge, size) for gauge in gauges
        ):
            return size
    return max(gauges, key=conductors.area_mm2)
