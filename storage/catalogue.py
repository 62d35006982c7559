"""The shop's catalogue and times in the store, beside the builds.

Read with the standard library's SQLite, written through SQLModel; every change is one
transaction. Ids are given out by the store and stay with an item for its whole life.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from domain.edits import sentence
from domain.money.catalogue import MOST_ITEMS, CatalogueItem
from domain.money.times import check_time
from storage.errors import StoreError
from storage.store import Store

_FIELDS = tuple(CatalogueItem.model_fields)
_COLUMNS = ", ".join(f'"{field}"' for field in _FIELDS)
_SELECT = f"SELECT {_COLUMNS} FROM catalogue ORDER BY position, id"


class ShopCatalogue:
    """The catalogue in a store. Every method raises ``StoreError``, having changed nothing."""

    def __init__(self, store: Store) -> None:
        self._store = store

    def items(self) -> tuple[CatalogueItem, ...]:
        """Every item, in the shop's order."""
        with self._store.reading() as reading:
            return _items(reading.execute(_SELECT))

    def replace_all(self, items: Sequence[CatalogueItem]) -> tuple[CatalogueItem, ...]:
        """Put these items in the place of all; an item whose name was there keeps its id."""
        _check_names(items)
        if len(items) > MOST_ITEMS:
            raise StoreError(f"a catalogue takes at most {MOST_ITEMS} items, not {len(items)}")
        with self._store.writing() as writing:
            from sqlalchemy import delete, insert

            known = _items(writing.exec_driver_sql(_SELECT))
            ids = {item.name: item.id for item in known}
            free = _free_id(known)
            stored = []
            for item in items:
                id = ids.get(item.name)
                if id is None:
                    id, free = free, free + 1
                stored.append(item.model_copy(update={"id": id}))
            writing.execute(delete(_catalogue()))
            if stored:
                writing.execute(
                    insert(_catalogue()),
                    [_values(item, position) for position, item in enumerate(stored)],
                )
        return tuple(stored)

    def put(self, item: CatalogueItem) -> CatalogueItem:
        """Add an item (id 0), or put it in the place of the one with its id; as it is stored."""
        with self._store.writing() as writing:
            from sqlalchemy import func, insert, select, update

            table, known = _catalogue(), _items(writing.exec_driver_sql(_SELECT))
            if any(other.name == item.name and other.id != item.id for other in known):
                raise StoreError(
                    f"there is an item {item.name!r} in the catalogue already: give this one "
                    "another name, or change that one"
                )
            if not item.id:
                if len(known) >= MOST_ITEMS:
                    raise StoreError(f"the catalogue holds {MOST_ITEMS} items: it takes no more")
                item = item.model_copy(update={"id": _free_id(known)})
                last = writing.execute(select(func.max(table.c.position))).scalar()
                writing.execute(insert(table), _values(item, 0 if last is None else last + 1))
            else:
                values = _values(item, 0)
                del values["position"]
                done = writing.execute(update(table).where(table.c.id == item.id).values(values))
                if done.rowcount == 0:
                    raise _gone(item.id)
        return item

    def remove(self, id: int) -> None:
        """Take an item out of the catalogue."""
        with self._store.writing() as writing:
            from sqlalchemy import delete

            table = _catalogue()
            if writing.execute(delete(table).where(table.c.id == id)).rowcount == 0:
                raise _gone(id)

    def take_off_shelf(self, used: Mapping[int, float]) -> None:
        """Take what a build used off the shelf: item id -> quantity in the item's unit.

        Refused as a whole where an item is not there, or there is less of it on the shelf.
        """
        with self._store.writing() as writing:
            from sqlalchemy import update

            table = _catalogue()
            known = {item.id: item for item in _items(writing.exec_driver_sql(_SELECT))}
            for id, quantity in used.items():
                item = known.get(id)
                if item is None:
                    raise _gone(id)
                if not 0 <= quantity <= item.on_shelf + 1e-9:
                    raise StoreError(
                        f"{item.name}: {quantity:g} {item.unit.value} cannot be taken, "
                        f"{item.on_shelf:g} {item.unit.value} are on the shelf; nothing was "
                        "taken: count again and correct the catalogue"
                    )
                left = round(max(0.0, item.on_shelf - quantity), 6)
                writing.execute(update(table).where(table.c.id == id).values(on_shelf=left))

    def times(self) -> dict[str, float]:
        """The shop's own times, as ``domain.money.times.shop_times`` takes them."""
        with self._store.reading() as reading:
            rows = reading.execute("SELECT name, value FROM labour_time ORDER BY name").fetchall()
        return {str(row["name"]): float(row["value"]) for row in rows}

    def replace_times(self, own: Mapping[str, float]) -> None:
        """Put these times in the place of all the shop's own; none: the defaults count again."""
        for name, value in own.items():
            if wrong := check_time(name, value):
                raise StoreError(f"{wrong}; nothing was saved")
        with self._store.writing() as writing:
            from sqlalchemy import delete, insert

            from storage.tables import LabourTimeRow

            table = LabourTimeRow.__table__  # type: ignore[attr-defined]
            writing.execute(delete(table))
            if own:
                rows = [{"name": name, "value": value} for name, value in own.items()]
                writing.execute(insert(table), rows)


def _items(rows: Iterable[Iterable[Any]]) -> tuple[CatalogueItem, ...]:
    return tuple(_item(dict(zip(_FIELDS, row, strict=True))) for row in rows)


def _free_id(known: Sequence[CatalogueItem]) -> int:
    return max((item.id for item in known), default=0) + 1


def _item(values: dict[str, Any]) -> CatalogueItem:
    try:
        return CatalogueItem.model_validate(values)
    except ValidationError as error:
        raise StoreError(
            f"the catalogue is damaged in item {values.get('id')}: {sentence(error)}; nothing was "
            "changed: put the catalogue in from a CSV file again"
        ) from error


def _check_names(items: Sequence[CatalogueItem]) -> None:
    seen: set[str] = set()
    for item in items:
        if item.name in seen:
            raise StoreError(f"the item {item.name!r} is there twice; nothing was changed")
        seen.add(item.name)


def _values(item: CatalogueItem, position: int) -> dict[str, Any]:
    values = item.model_dump(mode="json")
    values["price"] = None if item.price is None else f"{item.price:f}"
    return {**values, "position": position}


def _gone(id: int) -> StoreError:
    return StoreError(f"there is no item {id} in the catalogue: choose one from its list")


def _catalogue() -> Any:
    from storage.tables import CatalogueRow

    return CatalogueRow.__table__  # type: ignore[attr-defined]
