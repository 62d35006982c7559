"""The pieces of wire that are cut for a run: one, or more where a fuse holder parts it."""

from math import ceil

from msgspec import Struct

from domain.build.choices import BlockKind, Polarity, Termination, UnitHabit
from domain.build.records import Block, Build, Run, table_of
from domain.document.records import Record
from domain.electrical.protection.fuse_place import fuse_distance_m
from domain.sheet import RunResult
from domain.units.gauges import gauge_text

END_ALLOWANCE_M = 0.05
"""Wire lost at each end to stripping and a re-made crimp [m]. Common practice."""

ALTERNATOR_STUD = "M8"
"""Output stud of an alternator where nothing else is known. Common practice."""

TAPE_M = {UnitHabit.INCH: 0.00635, UnitHabit.METRIC: 0.005}
"""A piece is cut to whole steps of the tape measure, never shorter [m]: a quarter inch, 5 mm."""

SHORTEST_M = 1e-6
"""Less than this between two holders is no piece [m]."""


class WireEnd(Struct, frozen=True):
    """One end of a piece: the device it goes to (``at`` is "" at a fuse holder) and what is on it.

    ``termination`` is ``None`` where the end goes nowhere yet.
    """

    at: str
    place: str
    termination: Termination | None
    stud: str = ""


class WirePiece(Struct, frozen=True):
    """One piece of wire, number ``number`` of the ``of`` that a wire of its run is cut into.

    It is of wire ``wire`` of the ``wires`` that lie side by side in the run.

    ``cut_m`` is with slack and with the allowance for both ends, up to the next step of the tape
    measure; ``assumed`` where the run's length was not measured, so that it must not be cut yet.
    ``loom`` is the word of its loom, or "".
    """

    run: str
    name: str
    number: int
    of: int
    item: str
    size: str
    colour: str
    area_mm2: float
    cut_m: float
    assumed: bool
    near: WireEnd
    far: WireEnd
    loom: str = ""
    wire: int = 1
    wires: int = 1

    @property
    def label(self) -> str:
        """The text that the piece is known by: name, which of its wires, gauge, colour."""
        which = f" ({self.wire} of {self.wires})" if self.wires > 1 else ""
        part = f" {self.number}/{self.of}" if self.of > 1 else ""
        return f"{self.name}{which}{part}, {self.size}, {self.colour}"


def wire_pieces(
    build: Build, run: Run, result: RunResult, by_id: dict[str, Record]
) -> list[WirePiece]:
    """The pieces of one run from its near end on; none where it is already in the vehicle.

    A fuse holder in the line parts the wire; one on the post, or a place in a fused block, does
    not. Slack lies in the piece that no fuse distance measures.
    """
    if result.existing:
        return []
    source, target = by_id.get(run.source), by_id.get(run.target)
    holder = WireEnd("", "fuse holder", Termination.FERRULE)
    ends = [_end(build, run.source, source, run.near_end)]
    near_m = min(_near_holder_m(source, run, result), result.wire_m)
    far_m = min(_far_holder_m(build, run), result.wire_m - near_m)
    lengths = [near_m, result.wire_m - near_m - far_m, far_m]
    lengths = [length for length in lengths if length > SHORTEST_M]
    ends += [holder] * (len(lengths) - 1) + [_end(build, run.target, target, run.far_end)]
    colour = run.colour.strip() or ("red" if run.polarity is Polarity.POSITIVE else "black")
    return [
        WirePiece(
            run=run.id,
            name=run.name or f"{ends[0].place} -> {ends[-1].place}",
            number=number,
            of=len(lengths),
            item=f"{run.metal.value.capitalize()} wire {run.insulation.value}, {colour}",
            size=gauge_text(result.gauge),
            colour=colour,
            area_mm2=result.area_mm2,
            cut_m=on_tape(length + 2 * END_ALLOWANCE_M, build.header.units),
            assumed=result.length_auto,
            near=ends[number - 1],
            far=ends[number],
            loom=run.loom.strip(),
            wire=wire,
            wires=run.count,
        )
        for wire in range(1, run.count + 1)
        for number, length in enumerate(lengths, 1)
    ]


def on_tape(length_m: float, units: UnitHabit) -> float:
    """The next length that can be read off a tape [m]."""
    step = TAPE_M[units]
    return ceil(length_m / step - 1e-6) * step


def all_pieces(build: Build, runs: tuple[RunResult, ...]) -> list[WirePiece]:
    """The pieces of every new run, in the order of the run schedule."""
    by_id: dict[str, Record] = {run.id: run for run in build.runs}
    for devices in (
        build.batteries,
        build.alternators,
        build.amplifiers,
        build.appliances,
        build.blocks,
        build.grounds,
    ):
        by_id |= {device.id: device for device in devices}
    found: list[WirePiece] = []
    for result in runs:
        run = by_id.get(result.id)
        if isinstance(run, Run):
            found += wire_pieces(build, run, result, by_id)
    return found


def in_fused_block(source: Record | None, run: Run) -> bool:
    """Whether the run's fuse sits in the block that feeds it, so that it needs no holder."""
    return (
        isinstance(source, Block)
        and source.kind is BlockKind.DISTRIBUTION
        and source.fused
        and not run.fuse_distance_m
    )


def _near_holder_m(source: Record | None, run: Run, result: RunResult) -> float:
    if not run.fused or in_fused_block(source, run):
        return 0.0
    return result.fuse_distance_m or 0.0


def _far_holder_m(build: Build, run: Run) -> float:
    return fuse_distance_m(build, run, far=True) if run.far_fused else 0.0


def _end(build: Build, id: str, device: Record | None, pinned: Termination | None) -> WireEnd:
    place = build.name_of(device) if device else id or "not joined yet"
    return WireEnd(id, place, pinned or _termination(device), _stud(device))


def _termination(device: Record | None) -> Termination | None:
    """Rings on battery, alternator and ground point, ferrules on amplifier and block."""
    if device is None:
        return None
    if table_of(device.id) in ("batteries", "alternators", "grounds"):
        return Termination.RING
    return Termination.FERRULE


def _stud(device: Record | None) -> str:
    if device is not None and table_of(device.id) == "alternators":
        return ALTERNATOR_STUD
    return str(getattr(device, "stud", "")).strip() if device else ""
