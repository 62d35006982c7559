"""The cut list: every piece of wire, what it is cut from, and the labels for its ends."""

from collections.abc import Mapping, Sequence

from msgspec import Struct

from domain.build.choices import Termination, UnitHabit
from domain.build.records import Build
from domain.cable.cutting_stock import Cut, Stock, millimetres, pack
from domain.cable.lead_pieces import cable_labels, lead_pieces
from domain.cable.pieces import WireEnd, WirePiece, all_pieces
from domain.cable.sold_lengths import SOLD_BY_M, round_up
from domain.sheet import Sheet
from domain.units.show import format_quantity

OFF_THE_ROLL = "off the roll"
"""What a length is called that is bought by the foot or half metre."""

WireKind = tuple[str, str]
"""Item and size of a wire, as its line in the bill of materials has them."""


class Spool(Struct, frozen=True):
    """A length in which wire can be had [m]: what it is called and costs (any whole unit).

    One that is ``at_hand`` is on the shelf, once, and costs nothing.
    """

    name: str
    length_m: float
    cost: int
    at_hand: bool = False


class Fitted(Struct, frozen=True):
    """Pieces fitted into spools: (spool, places of the pieces, offcut [m]) for each one used.

    ``bound``: no way of buying costs less. ``too_long``: pieces that no spool is long enough for.
    """

    used: tuple[tuple[Spool, tuple[int, ...], float], ...]
    cost: int
    bound: int
    exact: bool
    too_long: tuple[int, ...]


class CutLength(Struct, frozen=True):
    """One length of wire and what is cut out of it, in this order; ``offcut_m`` is left over."""

    name: str
    length_m: float
    at_hand: bool
    pieces: tuple[WirePiece, ...]
    offcut_m: float


class CutGroup(Struct, frozen=True):
    """The pieces of one kind, gauge and colour, and the lengths that they are cut from.

    ``needed_m`` is the sum of the pieces, ``bought_m`` that of the lengths that are not at hand.
    ``exact``: no other way of cutting costs less; where it is false, ``least_share`` is how much
    of the cost the lower bound proves to be needed.
    """

    item: str
    size: str
    pieces: tuple[WirePiece, ...]
    needed_m: float
    lengths: tuple[CutLength, ...]
    bought_m: float
    exact: bool
    least_share: float
    too_long: tuple[WirePiece, ...]


class WireLabel(Struct, frozen=True):
    """A label for one end of a piece: three short lines of text."""

    run: str
    piece: int
    end: str
    lines: tuple[str, str, str]


class CutList(Struct, frozen=True):
    """Every piece of wire of a build. ``assumed`` are runs that must be measured before cutting."""

    groups: tuple[CutGroup, ...]
    labels: tuple[WireLabel, ...]
    assumed: tuple[str, ...]


def cut_list(
    build: Build, sheet: Sheet, spools: Mapping[WireKind, Sequence[Spool]] | None = None
) -> CutList:
    """Every piece to cut, grouped by kind, gauge and colour and packed into the lengths sold.

    Wire that ``spools`` does not name comes off the roll, as one length by the foot or half metre
    by the build's habit. Lengths in metres. Never raises for a build.
    """
    pieces = [*all_pieces(build, sheet.runs), *lead_pieces(build, sheet.leads)]
    kinds: dict[WireKind, list[WirePiece]] = {}
    for piece in pieces:
        kinds.setdefault((piece.item, piece.size), []).append(piece)
    ranked = sorted(kinds.items(), key=lambda kind: (kind[0][0], -kind[1][0].area_mm2))
    groups = [
        _group(kind, of_kind, (spools or {}).get(kind, ()), build.header.units)
        for kind, of_kind in ranked
    ]
    units = build.header.units
    return CutList(
        groups=tuple(groups),
        labels=(
            *(label for piece in pieces for label in _labels(piece, units)),
            *(WireLabel(*each) for lead in sheet.leads for each in cable_labels(lead, units)),
        ),
        assumed=tuple(dict.fromkeys(piece.run for piece in pieces if piece.assumed)),
    )


def piece_lengths(build: Build, sheet: Sheet) -> dict[WireKind, tuple[float, ...]]:
    """Lengths of the pieces [m] by kind of wire, as ``fit`` takes them."""
    found: dict[WireKind, tuple[float, ...]] = {}
    for piece in [*all_pieces(build, sheet.runs), *lead_pieces(build, sheet.leads)]:
        kind = (piece.item, piece.size)
        found[kind] = (*found.get(kind, ()), piece.cut_m)
    return found


def fit(lengths_m: Sequence[float], spools: Sequence[Spool]) -> Fitted:
    """Fit pieces into what is at hand first, longest first where it is tightest, then buy the rest.

    ``exact`` speaks of what is bought for the pieces that did not fit at hand.
    """
    pieces = [millimetres(length) for length in lengths_m]
    at_hand = [spool for spool in spools if spool.at_hand]
    room = [int(spool.length_m * 1000 + 1e-6) for spool in at_hand]
    held: list[list[int]] = [[] for _ in at_hand]
    rest = []
    for i in sorted(range(len(pieces)), key=lambda i: (-pieces[i], i)):
        places = [(left, place) for place, left in enumerate(room) if left >= pieces[i]]
        if places:
            _, place = min(places)
            held[place].append(i)
            room[place] -= pieces[i]
        else:
            rest.append(i)
    sold = [spool for spool in spools if not spool.at_hand]
    stocks = [Stock(int(spool.length_m * 1000 + 1e-6), spool.cost) for spool in sold]
    packed = pack([pieces[i] for i in rest], stocks)
    used = [
        (spool, tuple(own), left / 1000)
        for spool, own, left in zip(at_hand, held, room, strict=True)
        if own
    ]
    used += [_used(cut, sold, rest) for cut in packed.cuts]
    too_long = tuple(rest[i] for i in packed.too_long)
    return Fitted(tuple(used), packed.cost, packed.bound, packed.exact, too_long)


def _used(
    cut: Cut, sold: Sequence[Spool], rest: Sequence[int]
) -> tuple[Spool, tuple[int, ...], float]:
    return sold[cut.stock], tuple(rest[i] for i in cut.pieces), cut.offcut_mm / 1000


def _group(
    kind: WireKind, pieces: Sequence[WirePiece], spools: Sequence[Spool], units: UnitHabit
) -> CutGroup:
    item, size = kind
    needed = sum(piece.cut_m for piece in pieces)
    if not spools:
        length = round_up(needed, SOLD_BY_M[units])
        ordered = tuple(sorted(pieces, key=lambda piece: -piece.cut_m))
        roll = CutLength(OFF_THE_ROLL, length, False, ordered, max(0.0, length - needed))
        return CutGroup(item, size, tuple(pieces), needed, (roll,), length, True, 1.0, ())
    fitted = fit([piece.cut_m for piece in pieces], spools)
    lengths = tuple(
        CutLength(spool.name, spool.length_m, spool.at_hand, _chosen(pieces, places), offcut)
        for spool, places, offcut in fitted.used
    )
    return CutGroup(
        item=item,
        size=size,
        pieces=tuple(pieces),
        needed_m=needed,
        lengths=lengths,
        bought_m=sum(length.length_m for length in lengths if not length.at_hand),
        exact=fitted.exact,
        least_share=fitted.bound / fitted.cost if fitted.cost else 1.0,
        too_long=_chosen(pieces, fitted.too_long),
    )


def _chosen(pieces: Sequence[WirePiece], places: Sequence[int]) -> tuple[WirePiece, ...]:
    return tuple(pieces[place] for place in places)


def _labels(piece: WirePiece, units: UnitHabit) -> tuple[WireLabel, WireLabel]:
    """A label for each end: what it is; where this end goes and what is on it; the other end."""
    length = format_quantity("length", piece.cut_m, units)
    if piece.loom:
        length += f"; harness {piece.loom}"
    return (
        WireLabel(
            piece.run,
            piece.number,
            "near",
            (piece.label, f"here: {_at(piece.near)}", f"to: {piece.far.place}; cut {length}"),
        ),
        WireLabel(
            piece.run,
            piece.number,
            "far",
            (piece.label, f"here: {_at(piece.far)}", f"from: {piece.near.place}; cut {length}"),
        ),
    )


def _at(end: WireEnd) -> str:
    if end.termination is None:
        return end.place
    stud = f" {end.stud}" if end.termination is Termination.RING and end.stud else ""
    return f"{end.place}, {end.termination.value}{stud}"
