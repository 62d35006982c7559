"""The pieces of wire for switching and loudspeaker leads, and labels for made-up signal cables."""

from collections.abc import Iterator, Sequence

from domain.build.choices import LeadKind, Termination, UnitHabit
from domain.build.records import Build
from domain.cable.pieces import END_ALLOWANCE_M, WireEnd, WirePiece, on_tape
from domain.document.records import find
from domain.electrical.conductors import area_mm2
from domain.reference.planning import planned
from domain.sheet import LeadResult
from domain.units.gauges import gauge_text
from domain.units.show import format_quantity

REMOTE_COLOUR = "blue"
"""Colour of remote leads. Common practice."""


def lead_pieces(build: Build, leads: Sequence[LeadResult]) -> list[WirePiece]:
    """What is cut for remote and loudspeaker leads; signal cables are bought made up."""
    return [piece for lead in leads for piece in _pieces(build, lead)]


def _pieces(build: Build, lead: LeadResult) -> Iterator[WirePiece]:
    if lead.kind == LeadKind.SIGNAL.value or not lead.gauge:
        return
    speaker = lead.kind == LeadKind.SPEAKER.value
    near, far = _end(build, lead, lead.source), _end(build, lead, lead.target)
    lengths, ends = [lead.wire_m], [near, far]
    if lead.fuse_a is not None:
        first = min(planned("assumed_fuse_m"), lead.wire_m / 2)
        lengths = [first, lead.wire_m - first]
        ends = [near, WireEnd("", "fuse holder", Termination.BARE), far]
    colour = _colour(lead)
    item = f"Copper wire 105 C, {colour}"
    for wire in range(1, lead.count + 1):
        for number, length in enumerate(lengths, 1):
            yield WirePiece(
                run=lead.record,
                name=lead.name,
                number=number,
                of=len(lengths),
                item="Loudspeaker cable, two conductors" if speaker else item,
                size=gauge_text(lead.gauge),
                colour=colour,
                area_mm2=area_mm2(lead.gauge),
                cut_m=on_tape(length + 2 * END_ALLOWANCE_M, build.header.units),
                assumed=lead.length_auto,
                near=ends[number - 1],
                far=ends[number],
                wire=wire,
                wires=lead.count,
            )


def _colour(lead: LeadResult) -> str:
    if lead.kind == LeadKind.SPEAKER.value:
        return "pair"
    if lead.fuse_a is not None:
        return "red"
    return "black" if lead.id.endswith(".ground") else REMOTE_COLOUR


def _end(build: Build, lead: LeadResult, place: str) -> WireEnd:
    """A bare end for the tail of a head unit, a relay's socket or a loudspeaker, else a ferrule."""
    record = find(build, lead.record)
    at = getattr(record, "source" if place == lead.source else "target", "")
    into = Termination.FERRULE if at[:1] in ("a", "d") else Termination.BARE
    return WireEnd(at, place, into)


def cable_labels(
    lead: LeadResult, units: UnitHabit
) -> Iterator[tuple[str, int, str, tuple[str, str, str]]]:
    """For each signal cable a label for either end: id, number, which end, three lines."""
    if lead.kind != LeadKind.SIGNAL.value:
        return
    length = format_quantity("length", lead.wire_m, units)
    for number in range(1, lead.count + 1):
        which = f" ({number} of {lead.count})" if lead.count > 1 else ""
        what = f"{lead.name}{which}, pair, signal"
        for end, here, other in (
            ("near", lead.source, f"to: {lead.target}"),
            ("far", lead.target, f"from: {lead.source}"),
        ):
            yield lead.record, number, end, (what, f"here: {here}", f"{other}; {length}")
