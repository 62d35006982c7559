"""Cutting stock in one dimension: pieces out of spools, at the least cost.

Exact by dynamic programming over subsets for few pieces; else best fit, longest first (best-fit
decreasing), with a lower bound beside it (Martello and Toth, Knapsack Problems, 1990, chapter 8:
bound L2; from memory). Lengths are whole millimetres and costs whole numbers, so that nothing
depends on rounding.
"""

from collections.abc import Sequence
from math import ceil

from msgspec import Struct

EXACT_UP_TO = 9
"""Pieces up to which every way of cutting is looked at (3^9 steps, some 10 ms)."""

_PER_CUT = 4096
"""Weight of a cost over the count of cuts: among equal costs the fewest spools."""


class Stock(Struct, frozen=True):
    """A length that can be bought in any number [mm], and what one costs (any whole unit)."""

    length_mm: int
    cost: int


class Cut(Struct, frozen=True):
    """One length of stock: which stock, which pieces come out of it, and what is left [mm]."""

    stock: int
    pieces: tuple[int, ...]
    offcut_mm: int


class Packing(Struct, frozen=True):
    """A way of cutting. ``bound``: no way costs less; ``exact``: this one is known to be best.

    ``too_long`` are pieces that no stock is long enough for; they are in no cut.
    """

    cuts: tuple[Cut, ...]
    cost: int
    bound: int
    exact: bool
    too_long: tuple[int, ...]


def pack(pieces_mm: Sequence[int], stocks: Sequence[Stock]) -> Packing:
    """Cut pieces out of stock at the least cost; the same answer every time.

    Raises ``ValueError`` for a piece or stock of no length, or a cost below 0.
    """
    if any(piece <= 0 for piece in pieces_mm) or any(s.length_mm <= 0 for s in stocks):
        raise ValueError("pieces and stock must have a length")
    if any(stock.cost < 0 for stock in stocks):
        raise ValueError("a stock length cannot cost less than nothing")
    longest = max((stock.length_mm for stock in stocks), default=0)
    fitting = [i for i, piece in enumerate(pieces_mm) if piece <= longest]
    too_long = tuple(i for i, piece in enumerate(pieces_mm) if piece > longest)
    if not fitting:
        return Packing((), 0, 0, True, too_long)
    fitting.sort(key=lambda i: (-pieces_mm[i], i))
    sizes = [pieces_mm[i] for i in fitting]
    if len(sizes) <= EXACT_UP_TO:
        bins, exact = _exactly(sizes, stocks), True
    else:
        bins, exact = _best_fit(sizes, stocks), False
    cuts = tuple(_cut(bin, sizes, stocks, fitting) for bin in bins)
    cost = sum(stocks[cut.stock].cost for cut in cuts)
    bound = cost if exact else lower_bound(sizes, stocks)
    return Packing(cuts, cost, bound, cost == bound, too_long)


def lower_bound(sizes: Sequence[int], stocks: Sequence[Stock]) -> int:
    """A cost that no way of cutting these pieces goes below; every piece must fit some stock.

    The greatest of: all length at the cheapest price per length; each piece over half the
    longest stock in the cheapest stock that takes it; bound L2 on the count of the longest
    stock, each at the least cost.
    """
    longest = max(stock.length_mm for stock in stocks)
    total = sum(sizes)
    by_length = min(ceil_ratio(total * stock.cost, stock.length_mm) for stock in stocks)
    alone = sum(_cheapest(size, stocks)[1] for size in sizes if 2 * size > longest)
    count = max(_l2(sizes, longest, least) for least in {0, *sizes} if 2 * least <= longest)
    return max(by_length, alone, count * min(stock.cost for stock in stocks))


def ceil_ratio(above: int, below: int) -> int:
    """The least whole number not under a ratio of whole numbers, without rounding error."""
    return -(-above // below)


def _l2(sizes: Sequence[int], length: int, least: int) -> int:
    """L2 for one ``least``: pieces under it left out, those over ``length - least`` alone."""
    alone = [size for size in sizes if size > length - least]
    large = [size for size in sizes if length - least >= size > length / 2]
    small = [size for size in sizes if length / 2 >= size >= least]
    room = len(large) * length - sum(large)
    return len(alone) + len(large) + max(0, ceil_ratio(sum(small) - room, length))


def _cheapest(size: int, stocks: Sequence[Stock]) -> tuple[int, int]:
    """The cheapest stock that takes this length, then the shortest: its place and its cost."""
    ways = [(s.cost, s.length_mm, i) for i, s in enumerate(stocks) if s.length_mm >= size]
    cost, _, place = min(ways)
    return place, cost


def _exactly(sizes: Sequence[int], stocks: Sequence[Stock]) -> list[list[int]]:
    """The best cutting of all: for each set of pieces the best of its first piece's bins."""
    longest = max(stock.length_mm for stock in stocks)
    everything = (1 << len(sizes)) - 1
    length = [0] * (everything + 1)
    one_bin: list[int | None] = [None] * (everything + 1)
    for mask in range(1, everything + 1):
        low = mask & -mask
        length[mask] = length[mask ^ low] + sizes[low.bit_length() - 1]
        if length[mask] <= longest:
            one_bin[mask] = _cheapest(length[mask], stocks)[1] * _PER_CUT + 1
    best = [0] * (everything + 1)
    first = [0] * (everything + 1)
    for mask in range(1, everything + 1):
        low = mask & -mask
        others = part = mask ^ low
        least = None
        while True:
            price = one_bin[part | low]
            if price is not None and (least is None or price + best[mask ^ part ^ low] < least):
                least, first[mask] = price + best[mask ^ part ^ low], part | low
            if not part:
                break
            part = (part - 1) & others
        best[mask] = least or 0
    bins, mask = [], everything
    while mask:
        bins.append([i for i in range(len(sizes)) if first[mask] >> i & 1])
        mask ^= first[mask]
    return bins


def _best_fit(sizes: Sequence[int], stocks: Sequence[Stock]) -> list[list[int]]:
    """Best-fit decreasing, opened with each stock in turn, every bin then made as cheap as it can.

    ``sizes`` run from long to short.
    """
    tried = []
    for opened in sorted({stock.length_mm for stock in stocks}, reverse=True):
        bins: list[list[int]] = []
        room: list[int] = []
        for i, size in enumerate(sizes):
            fits = [(left, b) for b, left in enumerate(room) if left >= size]
            if fits:
                _, b = min(fits)
                bins[b].append(i)
                room[b] -= size
            else:
                new = opened
                if size > opened:
                    new = stocks[_cheapest(size, stocks)[0]].length_mm
                bins.append([i])
                room.append(new - size)
        cost = sum(_cheapest(sum(sizes[i] for i in bin), stocks)[1] for bin in bins)
        tried.append((cost, len(bins), bins))
    return min(tried, key=lambda way: way[:2])[2]


def _cut(
    bin: Sequence[int], sizes: Sequence[int], stocks: Sequence[Stock], names: Sequence[int]
) -> Cut:
    used = sum(sizes[i] for i in bin)
    stock, _ = _cheapest(used, stocks)
    return Cut(stock, tuple(names[i] for i in bin), stocks[stock].length_mm - used)


def millimetres(length_m: float) -> int:
    """A length [m] as whole millimetres, never shorter."""
    return ceil(length_m * 1000 - 1e-6)
