"""What the power wire of a plan costs at the prices of the shop, in the chosen sizes or others."""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from msgspec.structs import replace

from domain.build.records import Build
from domain.cable.pieces import WirePiece, all_pieces
from domain.cable.sold_lengths import SOLD_BY_M, round_up
from domain.electrical.conductors import area_mm2
from domain.money.cents import NOTHING, cents
from domain.money.matching import match
from domain.sheet import MaterialLine, Sheet
from domain.shop.catalogue import CatalogueItem


def wire_cost(
    build: Build,
    sheet: Sheet,
    items: Sequence[CatalogueItem],
    gauges: Mapping[str, str] | None = None,
) -> Decimal | None:
    """What the wire of all new runs costs, each length at its share of the pack's price.

    ``gauges`` are sizes by run that take the place of the chosen ones. Lengths are those of the
    bill of materials, rounded up to how wire is sold. ``None`` where a wire has no price.
    """
    sizes = gauges or {}
    runs = tuple(
        replace(run, gauge=sizes[run.id], area_mm2=area_mm2(sizes[run.id]))
        if run.id in sizes
        else run
        for run in sheet.runs
    )
    kinds: dict[tuple[str, str], list[WirePiece]] = {}
    for piece in all_pieces(build, runs):
        kinds.setdefault((piece.item, piece.size), []).append(piece)
    step = SOLD_BY_M[build.header.units]
    lines = []
    for (item, size), pieces in kinds.items():
        needed = sum(piece.cut_m for piece in pieces)
        asked = tuple(dict.fromkeys(piece.run for piece in pieces))
        sold = round_up(needed, step)
        lines.append(MaterialLine("Wire", item, size, sold, "m", needed, asked, ""))
    worth = [line.worth for line in match(lines, items)]
    known = [each for each in worth if each is not None]
    return cents(sum(known, NOTHING)) if len(known) == len(worth) else None
