"""Blocks: the wire that each side takes, as entered or as the wires there ask for."""

from domain.build.choices import BlockKind
from domain.build.records import Block, Build
from domain.electrical import conductors
from domain.electrical.network import system
from domain.sheet import BlockResult, RunResult

LEAST_IN_MM2, LEAST_OUT_MM2 = 20.0, 8.0
"""No block is sold for less [mm2]: AWG 4 or 25 mm2 in, AWG 8 or 10 mm2 out. Common practice."""


def block_results(build: Build, runs: tuple[RunResult, ...]) -> tuple[BlockResult, ...]:
    """One result per block; a side left to the engine takes the thickest wire that is on it.

    An isolator has the same stud on both sides.
    """
    found = []
    for block in build.blocks:
        inward, outward = _wires(runs, block, True), _wires(runs, block, False)
        least_out_mm2 = LEAST_OUT_MM2
        if block.kind is BlockKind.ISOLATOR:
            inward = outward = inward + outward
            least_out_mm2 = LEAST_IN_MM2
        found.append(
            BlockResult(
                id=block.id,
                name=block.name or block.id,
                largest_in=block.largest_in or _taking(build, inward, LEAST_IN_MM2),
                largest_out=block.largest_out or _taking(build, outward, least_out_mm2),
            )
        )
    return tuple(found)


def places_used(build: Build, block: Block) -> int:
    """How many of a block's places have a wire on them."""
    return sum(
        run.count
        for run in build.runs
        for end, at_source in ((run.source, True), (run.target, False))
        if end == block.id and not system.main_side(block, at_source)
    )


def _wires(runs: tuple[RunResult, ...], block: Block, main: bool) -> list[str]:
    return [
        run.gauge
        for run in runs
        for end, at_source in ((run.source, True), (run.target, False))
        if end == block.id and system.main_side(block, at_source) is main
    ]


def _taking(build: Build, gauges: list[str], least_mm2: float) -> str:
    """The smallest size in stock that takes all these wires, the thickest wire if none does."""
    for size in conductors.stock(build.header.wire_sizes):
        if conductors.area_mm2(size) >= least_mm2 and all(
            conductors.fits(gauge, size) for gauge in gauges
        ):
            return size
    return max(gauges, key=conductors.area_mm2)
