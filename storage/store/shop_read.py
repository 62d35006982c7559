"""Reading what the shop keeps, with nothing but the standard library's SQLite."""

import sqlite3
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from domain.build.choices import UnitHabit
from domain.build.edits import sentence
from domain.build.records import Build, Footprint, Header, Stud, reference_problems
from domain.shop.catalogue import CatalogueItem
from domain.shop.shop import Shop
from storage.errors import StoreError

_R = TypeVar("_R", bound=BaseModel)

Damaged = Callable[[str], None]
"""Told of each row that is not what a record can be: "item 3: pack ..."."""


@dataclass(frozen=True, slots=True)
class OpenShop:
    """The shop as it was read, and the revision it was read at."""

    shop: Shop
    revision: int


def revision_of(connection: sqlite3.Connection) -> int:
    """The revision of the shop: how often it was changed."""
    row = connection.execute("SELECT coalesce(max(revision), 0) FROM shop_journal").fetchone()
    return int(row[0])


def read_shop(
    connection: sqlite3.Connection, units: UnitHabit, damaged: Damaged | None = None
) -> Shop:
    """The shop from its tables; call it in a transaction, so that all is of one revision.

    Raises ``StoreError`` naming the first damaged row, or tells ``damaged`` of each and leaves
    them out.
    """
    tell = damaged or _refuse
    footprints = _rows(connection, "shop_footprint", Footprint, "footprint", tell)
    ids = {each.id for each in footprints}
    studs = []
    for stud in _rows(connection, "shop_stud", Stud, "stud", tell):
        if stud.footprint in ids:
            studs.append(stud)
        else:
            tell(f"stud {stud.id}: footprint names {stud.footprint}, which is not there")
    library = Build.model_construct(
        header=Header(units=units), footprints=tuple(footprints), studs=tuple(studs)
    )
    if problems := reference_problems(library):
        tell(f"the footprints: {problems[0]}")
    items = _rows(connection, "catalogue", CatalogueItem, "item", tell)
    return Shop(items=tuple(items), times=read_times(connection), library=library)


def read_items(connection: sqlite3.Connection) -> tuple[CatalogueItem, ...]:
    """The items alone, in the shop's order."""
    return tuple(_rows(connection, "catalogue", CatalogueItem, "item", _refuse))


def read_times(connection: sqlite3.Connection) -> dict[str, float]:
    """The shop's own times, by the name of the operation."""
    rows = connection.execute("SELECT name, value FROM labour_time ORDER BY name").fetchall()
    return {str(row[0]): float(row[1]) for row in rows}


def _rows(
    connection: sqlite3.Connection, table: str, record: type[_R], called: str, tell: Damaged
) -> list[_R]:
    fields = list(record.model_fields)
    names = ", ".join(f'"{field}"' for field in fields)
    try:
        rows: Iterable[Any] = connection.execute(
            f"SELECT {names} FROM {table} ORDER BY position, id"
        ).fetchall()
    except sqlite3.OperationalError as error:
        if "decode" not in str(error):  # bytes that are no UTF-8 carry no error code
            raise
        tell(f"{called}: a text that cannot be read")
        return []
    found = []
    for row in rows:
        values = dict(zip(fields, row, strict=True))
        try:
            found.append(record.model_validate(values))
        except ValidationError as error:
            tell(f"{called} {values.get('id')}: {sentence(error)}")
    return found


def _refuse(what: str) -> None:
    if what.startswith("item"):
        raise StoreError(
            f"the catalogue is damaged in {what}; nothing was changed: take it from a CSV file "
            "again, as with 'mainrun catalogue --import FILE --force'"
        )
    raise StoreError(
        f"the shop's footprints are damaged in {what}; nothing was changed: take them from a CSV "
        "file again, as with 'mainrun footprints --import FILE --force'"
    )
