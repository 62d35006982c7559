"""The cut list of wire in words: what is cut from what, and where each piece goes."""

from collections.abc import Iterator

from domain.build.choices import Termination
from domain.cable.cut_list import OFF_THE_ROLL, CutGroup, CutLength
from domain.cable.pieces import WireEnd, WirePiece
from domain.topics.tables import ASSUMED, TEXT, Column, Subject, Table


def end(piece_end: WireEnd) -> str:
    """Where an end goes and what is on it."""
    on = piece_end.termination.value if piece_end.termination else "open"
    stud = piece_end.stud if piece_end.termination is Termination.RING else ""
    return f"{piece_end.place}: {on} {stud}".rstrip()


def group_title(subject: Subject, group: CutGroup) -> str:
    """What is cut, and how much of it together."""
    count = "1 piece" if len(group.pieces) == 1 else f"{len(group.pieces)} pieces"
    much = subject.show("length", group.needed_m)
    return f"{group.item}, {group.size}: {much} together, {count}"


def cut_from(subject: Subject, length: CutLength) -> str:
    """The length that pieces are cut from."""
    whole = subject.show("length", length.length_m)
    if length.name == OFF_THE_ROLL:
        return f"{whole} off the roll"
    return f"{length.name} of {whole}{', in stock' if length.at_hand else ''}"


def left_over(subject: Subject, length: CutLength) -> str:
    """What is left of it."""
    return f"{subject.show('length', length.offcut_m)} is left"


def too_long(piece: WirePiece) -> str:
    """That a piece cannot be cut, in a sentence."""
    return f"{piece.label}: no length in the shop is long enough."


def cutting(subject: Subject, group: CutGroup) -> Iterator[str]:
    """How a group is cut, in sentences. That one piece comes off the roll goes without saying."""
    for length in group.lengths:
        if length.name != OFF_THE_ROLL or len(length.pieces) > 1:
            cut = ", ".join(subject.show("length", piece.cut_m) for piece in length.pieces)
            yield f"{cut_from(subject, length)}: cut {cut}; {left_over(subject, length)}."
    yield from map(too_long, group.too_long)
    if not group.exact:
        share = subject.show("share", group.least_share)
        yield f"At least {share} of this cost is needed whatever the order of cutting."


PIECES: Table[WirePiece] = Table(
    rows=lambda s: (),
    columns=(
        Column(
            "length",
            "Length",
            "length",
            lambda s, p: p.cut_m,
            lambda s, p: ASSUMED if p.assumed else "",
        ),
        Column("label", "Label", TEXT, lambda s, p: p.label),
        Column("near", "One end", TEXT, lambda s, p: end(p.near)),
        Column("far", "Other end", TEXT, lambda s, p: end(p.far)),
    ),
    empty="No wire to cut.",
)
