"""Which catalogue items serve the lines of a bill of materials, and what is left to buy."""

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from functools import lru_cache
from math import ceil, floor

from msgspec import Struct

from domain.cable.cut_list import Spool, WireKind, fit
from domain.materials.takeoff import is_extra
from domain.money.cents import NOTHING, cents, exact
from domain.sheet import MaterialLine
from domain.shop.catalogue import CatalogueItem

OFF_A_ROLL_M = 1.0
"""Wire in packs of up to this length [m] is cut off a roll in one length; longer are spools."""


class Buy(Struct, frozen=True):
    """Packs of one item to buy, and their price together (``None`` if it is not known)."""

    item: CatalogueItem
    packs: int
    price: Decimal | None


class MatchedLine(Struct, frozen=True):
    """A line of the bill of materials and the catalogue item that serves it.

    ``item`` is ``None`` where none does; ``why`` says why this one, or none. ``wanted`` is what
    the build takes and ``from_shelf`` how much of it is in stock, both in the line's unit.
    ``buys`` are the packs to buy and ``price`` is theirs together. ``worth`` is the price of the
    line's quantity at pack price over pack size, in stock or not, and not rounded: a mark-up comes
    first. Both are ``None`` where a price is missing.
    ``too_long`` is wire that no spool is long enough for [m].
    """

    line: MaterialLine
    item: CatalogueItem | None
    why: str
    wanted: float
    from_shelf: float
    buys: tuple[Buy, ...]
    price: Decimal | None
    worth: Decimal | None
    too_long_m: float = 0.0


def match(
    lines: Sequence[MaterialLine],
    items: Sequence[CatalogueItem],
    pieces: Mapping[WireKind, Sequence[float]] | None = None,
) -> tuple[MatchedLine, ...]:
    """Every line with its item, in the lines' order; the same answer every time.

    What was put on the bill by hand is served by the item of its name. Else, among items whose
    group, unit and rules fit, the one with the longest rules serves; of these
    the cheapest per unit, priced before unpriced, then by name. What is on the shelf, and what is
    left over of a pack bought for an earlier line, is used first. Sheets are served by items that
    are counted, else by items sold by area. ``pieces`` are the lengths of
    wire to cut [m] by item and size (``domain.cable.cut_list.piece_lengths``): with them, wire sold
    on spools is packed into spools, and not just counted by its sum.
    """
    stock = {_key(item): item.on_shelf * item.unit.base[1] for item in items}
    return tuple(_matched(line, items, stock, (pieces or {}).get(_kind(line))) for line in lines)


def spools(
    lines: Sequence[MaterialLine],
    items: Sequence[CatalogueItem],
    pieces: Mapping[WireKind, Sequence[float]],
) -> dict[WireKind, tuple[Spool, ...]]:
    """The lengths that ``match`` cuts each wire from, for ``domain.cable.cut_list.cut_list``."""
    stock = {_key(item): item.on_shelf * item.unit.base[1] for item in items}
    found = {}
    for line in lines:
        best = _best(line, items)
        own = pieces.get(_kind(line))
        if own and best and line.group == "Wire" and _is_spool(best[0]):
            found[_kind(line)] = tuple(spool for spool, _ in _spools(best, stock))
        _matched(line, items, stock, own)
    return found


def shelf_use(matched: Sequence[MatchedLine]) -> dict[str, float]:
    """What the lines take off the shelf: item id -> quantity in the item's own unit.

    Of a wire that several spools serve it is all taken from the first.
    """
    used: dict[str, float] = {}
    for line in matched:
        if line.item is not None and line.from_shelf:
            quantity = line.from_shelf * _one(line.item, line.line) / line.item.unit.base[1]
            used[line.item.id] = min(used.get(line.item.id, 0.0) + quantity, line.item.on_shelf)
    return {id: quantity for id, quantity in used.items() if quantity}


def taken(matched: Sequence[MatchedLine]) -> dict[str, float]:
    """What the lines that follow from the plan take: item id -> quantity in the item's own unit."""
    used: dict[str, float] = {}
    for line in matched:
        if line.item is not None and not is_extra(line.line):
            quantity = line.wanted * _one(line.item, line.line) / line.item.unit.base[1]
            used[line.item.id] = used.get(line.item.id, 0.0) + quantity
    return used


def without_price(matched: Sequence[MatchedLine]) -> tuple[str, ...]:
    """Ids of the items that these lines take and that have no price, each once, in their order."""
    taken = (
        item
        for line in matched
        for item in (line.item, *(buy.item for buy in line.buys))
        if item is not None and item.price is None
    )
    return tuple(dict.fromkeys(item.id for item in taken))


def rule_fits(rule: str, text: str) -> bool:
    """Whether a rule fits a text: phrases parted by commas, in whole words, capitals aside.

    The text must begin with the first phrase and hold the others anywhere; a phrase after "not"
    must not be in it; "*" stands for any beginning. An empty rule fits everything.
    """
    words = _words(text)
    for place, phrase in enumerate(_phrases(rule)):
        if phrase == ("*",):
            continue
        if phrase[0] == "not" and len(phrase) > 1:
            if _holds(words, phrase[1:]):
                return False
        elif place == 0:
            if words[: len(phrase)] != phrase:
                return False
        elif not _holds(words, phrase):
            return False
    return True


def unit_price(item: CatalogueItem) -> Decimal | None:
    """Price of one unit of the bill of materials (each, metre, square metre), not rounded."""
    return _price_of(item, Decimal(1))


def _matched(
    line: MaterialLine,
    items: Sequence[CatalogueItem],
    stock: dict[str, float],
    pieces: Sequence[float] | None,
) -> MatchedLine:
    wanted = line.needed if line.unit in ("m", "m2") else line.quantity
    best = _best(line, items)
    if not best:
        why = "no item of the catalogue has a rule that fits"
        if any(_fits(item, line) for item in items):
            why = f"the items whose rules fit are not counted in {line.unit}"
        return MatchedLine(line, None, why, wanted, 0.0, (), None, None)
    if pieces and line.group == "Wire" and _is_spool(best[0]):
        return _cut_from_spools(line, best, wanted, stock, pieces)
    item = best[0]
    # Stock is kept in the item's own base unit: it may serve lines that count in different ones.
    key, one = _key(item), _one(item, line)
    pack = item.pack * item.unit.base[1]
    from_shelf = min(wanted, stock[key] / one)
    if one != 1:
        from_shelf = min(wanted, floor(stock[key] / one + 1e-9))  # no sheet is made of scraps
    packs = max(0, ceil((wanted - from_shelf) * one / pack - 1e-9))
    left_in_stock = max(0.0, stock[key] - from_shelf * one)
    stock[key] = left_in_stock + packs * pack - (wanted - from_shelf) * one
    buys = (_buy(item, packs),) if packs else ()
    return MatchedLine(
        line,
        item,
        "its own name" if is_extra(line) and _is_named(item, line) else _why(item, best),
        wanted,
        from_shelf,
        buys,
        _sum(buys),
        _worth(item, line),
    )


def _cut_from_spools(
    line: MaterialLine,
    best: Sequence[CatalogueItem],
    wanted: float,
    stock: dict[str, float],
    pieces: Sequence[float],
) -> MatchedLine:
    offered = _spools(best, stock)
    fitted = fit(pieces, [spool for spool, _ in offered])
    owner = dict(offered)
    bought = [owner[spool] for spool, _, _ in fitted.used if not spool.at_hand]
    held = [(spool, sum(pieces[i] for i in own)) for spool, own, _ in fitted.used if spool.at_hand]
    for spool, _ in held:
        stock[_key(owner[spool])] -= spool.length_m  # what is left of it is an offcut now
    from_shelf = sum(length for _, length in held)
    buys = tuple(_buy(item, bought.count(item)) for item in best if item in bought)
    item = buys[0].item if buys else best[0]
    if held:
        item = owner[held[0][0]]
    too_long = sum(pieces[i] for i in fitted.too_long)
    why = _why(best[0], best)
    why += "; cut at the least cost" if fitted.exact else "; cut near the least cost"
    if too_long:
        why += "; no spool is long enough for some pieces"
    price = None if too_long else _sum(buys)
    return MatchedLine(
        line, item, why, wanted, from_shelf, buys, price, _worth(item, line), too_long
    )


def _spools(
    best: Sequence[CatalogueItem], stock: Mapping[str, float]
) -> list[tuple[Spool, CatalogueItem]]:
    """What is at hand (whole spools, and one length for the rest), and what can be bought.

    The cost is the price in hundredths of a cent where every item has one, else the length.
    """
    priced = all(item.price is not None for item in best)
    found = []
    for item in best:
        length = item.pack * item.unit.base[1]
        whole, rest = divmod(stock[_key(item)] + 1e-9, length)
        at_hand = [length] * min(int(whole), 50) + ([rest] if rest > 1e-3 else [])
        for number, own in enumerate(at_hand, 1):
            found.append((Spool(f"{item.name}, shelf {number}", own, 0, True), item))
        cost = int((item.price or 0) * 10000) if priced else round(length * 1000)
        found.append((Spool(item.name, length, cost), item))
    return found


def _best(line: MaterialLine, items: Sequence[CatalogueItem]) -> list[CatalogueItem]:
    """The items that fit a line with the longest rules, the one to take first; or none."""
    if is_extra(line):
        named = [item for item in items if _is_named(item, line)]
        if named:
            return named
    right = [item for item in items if _fits(item, line)]
    fitting = [item for item in right if item.unit.base[0] == line.unit]
    if not fitting and line.each_m2:
        fitting = [item for item in right if item.unit.base[0] == "m2"]
    if not fitting:
        return []
    most = max(_words_in_rules(item) for item in fitting)
    return sorted((item for item in fitting if _words_in_rules(item) == most), key=_order)


def _is_named(item: CatalogueItem, line: MaterialLine) -> bool:
    """Whether an item is the very one that a line of the bill names."""
    same_unit = item.unit.base[0] == line.unit
    return item.name == line.item and item.group == line.group and same_unit


def _fits(item: CatalogueItem, line: MaterialLine) -> bool:
    return (
        item.group == line.group
        and rule_fits(item.item_rule, line.item)
        and rule_fits(item.size_rule, line.size)
    )


def _order(item: CatalogueItem) -> tuple[bool, Decimal, str, str]:
    each = unit_price(item)
    return each is None, each or Decimal(0), item.name, item.id


def _why(item: CatalogueItem, best: Sequence[CatalogueItem]) -> str:
    rules = [f'{what} "{rule}"' for what, rule in _rules(item) if rule]
    why = " and ".join(rules) or f"anything in {item.group}"
    return f"{why}; cheapest of {len(best)}" if len(best) > 1 else why


def _one(item: CatalogueItem, line: MaterialLine) -> float:
    """One of the line in the item's base unit: the area of a sheet for sheet sold by area."""
    if line.each_m2 is None or item.unit.base[0] == line.unit:
        return 1.0
    return line.each_m2


def _rules(item: CatalogueItem) -> tuple[tuple[str, str], tuple[str, str]]:
    return ("item", item.item_rule), ("size", item.size_rule)


def _buy(item: CatalogueItem, packs: int) -> Buy:
    return Buy(item, packs, None if item.price is None else cents(item.price * packs))


def _sum(buys: Sequence[Buy]) -> Decimal | None:
    prices = [buy.price for buy in buys if buy.price is not None]
    return sum(prices, NOTHING) if len(prices) == len(buys) else None


def _worth(item: CatalogueItem, line: MaterialLine) -> Decimal | None:
    return _price_of(item, exact(round(line.quantity * _one(item, line), 6)))


def _price_of(item: CatalogueItem, quantity: Decimal) -> Decimal | None:
    """Divides last: a quotient that was cut off must not be multiplied."""
    if item.price is None:
        return None
    return item.price * quantity / (exact(item.pack) * exact(item.unit.base[1]))


def _is_spool(item: CatalogueItem) -> bool:
    unit, length = item.unit.base
    return unit == "m" and item.pack * length > OFF_A_ROLL_M


def _kind(line: MaterialLine) -> WireKind:
    return line.item, line.size


def _key(item: CatalogueItem) -> str:
    return f"{item.id} {item.name}"


@lru_cache(maxsize=8192)
def _phrases(rule: str) -> tuple[tuple[str, ...], ...]:
    return tuple(words for words in map(_words, rule.split(",")) if words)


@lru_cache(maxsize=8192)
def _words(text: str) -> tuple[str, ...]:
    return tuple(re.split(r"[\s,;]+", text.casefold().strip(" ,;"))) if text.strip(" ,;") else ()


def _words_in_rules(item: CatalogueItem) -> int:
    phrases = (*_phrases(item.item_rule), *_phrases(item.size_rule))
    return sum(len(phrase) for phrase in phrases if phrase != ("*",))


def _holds(words: tuple[str, ...], phrase: tuple[str, ...]) -> bool:
    span = len(phrase)
    return any(words[i : i + span] == phrase for i in range(len(words) - span + 1))
