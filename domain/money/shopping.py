"""What a build means at the counter: lines with their items, packs to buy, cut list, estimate."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from msgspec import Struct

from domain.build.records import Build
from domain.cable.cut_list import CutList, Spool, WireKind, cut_list, piece_lengths
from domain.materials.bill import with_sheets
from domain.money.cents import NOTHING, cents
from domain.money.estimate import Estimate, estimate
from domain.money.matching import Buy, MatchedLine, match, spools
from domain.sheet import Sheet
from domain.shop.catalogue import CatalogueItem
from domain.shop.times import Time, default_times

if TYPE_CHECKING:
    from domain.fabrication.nesting.cut_sheets import SheetCutList


class Shopping(Struct, frozen=True):
    """Everything about materials and money of one build, from one catalogue.

    ``lines`` are those of the bill of materials in its order; ``to_buy`` their packs, one entry an
    item. ``price`` is that of the packs that have one (``None`` where none has), ``unpriced`` how
    many entries have none, ``unserved`` how many lines no item of the catalogue serves. ``spools``
    are the lengths that ``cuts`` are cut from. ``sheets`` are the layouts on sheets, and ``sheet``
    the results with the bill of materials that follows from them.
    """

    lines: tuple[MatchedLine, ...]
    to_buy: tuple[Buy, ...]
    price: Decimal | None
    unpriced: int
    unserved: int
    spools: Mapping[WireKind, Sequence[Spool]]
    cuts: CutList
    estimate: Estimate
    sheet: Sheet
    sheets: "tuple[SheetCutList, ...]" = ()


def shopping(
    build: Build,
    sheet: Sheet,
    items: Sequence[CatalogueItem] = (),
    times: Sequence[Time] | None = None,
    *,
    quick: bool = False,
) -> Shopping:
    """Match, count, cut and price. Pure; takes any build, and an empty catalogue.

    ``times`` are the invented defaults where none are given. Sheets are those of the full layout,
    which takes a moment; ``quick``: of the quick one.
    """
    sheets: tuple[SheetCutList, ...] = ()
    if sheet.parts:
        # Late: builds without parts do without their engine.
        from domain.fabrication.nesting.cut_sheets import cut_lists

        sheets = cut_lists(build, sheet.parts, quick=quick)
        sheet = with_sheets(build, sheet, sheets)
    pieces = piece_lengths(build, sheet)
    lines = match(sheet.materials, items, pieces)
    to_buy = packs_to_buy(lines)
    lengths = spools(sheet.materials, items, pieces)
    prices = [buy.price for buy in to_buy if buy.price is not None]
    return Shopping(
        lines=lines,
        to_buy=to_buy,
        price=sum(prices, NOTHING) if prices else None,
        unpriced=len(to_buy) - len(prices),
        unserved=sum(line.item is None for line in lines),
        spools=lengths,
        cuts=cut_list(build, sheet, lengths),
        estimate=estimate(build, sheet, lines, default_times() if times is None else times),
        sheet=sheet,
        sheets=sheets,
    )


def packs_to_buy(lines: Sequence[MatchedLine]) -> tuple[Buy, ...]:
    """The packs of all lines, one entry an item, in the order in which they are first asked for."""
    items: dict[tuple[str, str], CatalogueItem] = {}
    packs: dict[tuple[str, str], int] = {}
    for line in lines:
        for buy in line.buys:
            key = (buy.item.id, buy.item.name)
            items[key] = buy.item
            packs[key] = packs.get(key, 0) + buy.packs
    return tuple(
        Buy(item, packs[key], None if item.price is None else cents(item.price * packs[key]))
        for key, item in items.items()
    )
