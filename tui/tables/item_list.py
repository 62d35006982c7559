"""Which items of the shop are seen, in which order: filtered, sorted, and steady while edited.

What is seen changes when the filter or the sorting does, and when items come or go; a value
that is typed moves no row away from under the cursor.
"""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from domain.shop.catalogue import CatalogueItem

MOST_SEEN = 1000
"""The grid shows no more rows at a time: a filter brings the others."""

_SEARCHED = ("name", "group", "item_rule", "size_rule", "supplier")


class ItemList:
    """The items that are to be seen of all that there are."""

    def __init__(self) -> None:
        self.words = ""
        """Each of these words stands somewhere in the texts of an item that is seen."""
        self.chosen: frozenset[str] = frozenset()
        """Only items with these ids are seen; none: of all."""
        self.column = ""
        """Field that they are sorted by; empty: the shop's order."""
        self.backwards = False
        self.count = 0
        """How many fit the filter, also those beyond the most that are shown."""
        self._of: Sequence[CatalogueItem] = ()
        self._known: set[str] = set()
        self._order: list[str] = []
        self._seen: list[CatalogueItem] = []
        self._stale = True

    @property
    def plain(self) -> bool:
        """Whether all are seen in the shop's order."""
        return not self.narrowed and not self.column

    @property
    def narrowed(self) -> bool:
        """Whether some may be hidden."""
        return bool(self.words.strip() or self.chosen)

    def choose(self, ids: Iterable[str]) -> None:
        """See only these items, until words are looked for among all."""
        self.chosen = frozenset(ids)
        self._stale = True

    def narrow(self, words: str) -> None:
        """See only items with all these words; none: all items."""
        self.words, self.chosen = words, frozenset()
        self._stale = True

    def sort(self, column: str) -> None:
        """Sort by this field; again: the other way round; once more: in the shop's order."""
        if self.column != column:
            self.column, self.backwards = column, False
        elif not self.backwards:
            self.backwards = True
        else:
            self.column, self.backwards = "", False
        self._stale = True

    def seen(self, items: Sequence[CatalogueItem]) -> list[CatalogueItem]:
        """The items to show, of those that there are now."""
        if not self._stale and items is self._of:
            return self._seen
        if self._stale or self.plain:
            found = [item for item in items if self._fits(item)]
            self._order = [item.id for item in self._sorted(found)]
        else:
            self._follow(items)
        self._of, self._stale = items, False
        self._known = {item.id for item in items}
        self.count = len(self._order)
        by_id = {item.id: item for item in items}
        self._seen = [by_id[id] for id in self._order[:MOST_SEEN]]
        return self._seen

    def _follow(self, items: Sequence[CatalogueItem]) -> None:
        """Items that are gone are left out, new ones stand behind the one that they follow."""
        there = {item.id for item in items}
        self._order = [id for id in self._order if id in there]
        for place, item in enumerate(items):
            if item.id not in self._known:
                before = items[place - 1].id if place else None
                if self.chosen:
                    self.chosen |= {item.id}
                at = self._order.index(before) + 1 if before in self._order else 0
                self._order.insert(at, item.id)

    def _fits(self, item: CatalogueItem) -> bool:
        if self.chosen and item.id not in self.chosen:
            return False
        words = self.words.casefold().split()
        if not words:
            return True
        text = " ".join(str(getattr(item, field)) for field in _SEARCHED).casefold()
        return all(word in text for word in words)

    def _sorted(self, items: list[CatalogueItem]) -> list[CatalogueItem]:
        """Sorted by the column; items without a price stand last either way."""
        field = self.column
        if not field:
            return items

        def value(item: CatalogueItem) -> str | float | Decimal:
            found: str | float | Decimal = getattr(item, field)
            return found.casefold() if isinstance(found, str) else found

        known = [item for item in items if getattr(item, field) is not None]
        rest = [item for item in items if getattr(item, field) is None]
        return [*sorted(known, key=value, reverse=self.backwards), *rest]
