"""The tables of a store, made from the domain records so that no field is written down twice.

Importing this module imports SQLModel, which is slow and large: what reads and writes is only held
against it, by tests. Who copies a whole store goes by it.
"""

import types
from decimal import Decimal
from enum import Enum
from typing import Any, get_args

from sqlalchemy import PrimaryKeyConstraint, Text
from sqlmodel import Field, SQLModel

from domain.build.records import TABLES, Header
from domain.document.entry import Entry
from domain.document.models import model_of
from domain.shop.shop import Shop
from storage.store.shop_filing import SHOP_TABLES


def _table(
    name: str,
    record: type[Entry],
    columns: dict[str, tuple[Any, Any]],
    row: str = "",
) -> Any:
    """A SQLModel table with a record's fields and some columns of its own.

    Choices are text fields too: SQLModel would store a choice's Python name, where the file
    must hold its value.
    """
    model = model_of(record)
    text_fields = {
        field: (info.annotation, Field(default=info.default, sa_type=Text))
        for field, info in model.model_fields.items()
        if _is_text(info.annotation)
    }

    def body(namespace: dict[str, Any]) -> None:
        namespace["__tablename__"] = name
        namespace["__module__"] = __name__
        namespace["__annotations__"] = {}
        if "build_key" in columns:
            namespace["__table_args__"] = (PrimaryKeyConstraint("build_key", "id"),)
        for field, (annotation, value) in {**text_fields, **columns}.items():
            namespace["__annotations__"][field] = annotation
            namespace[field] = value

    return types.new_class(row or f"{record.__name__}Row", (model, SQLModel), {"table": True}, body)


def _is_text(annotation: Any) -> bool:
    """Whether it is stored as text: texts, choices, and decimals, which are to stay exact."""
    ways = (annotation, *get_args(annotation))
    exact = any(get_args(way)[:1] == (Decimal,) for way in ways)
    return exact or any(isinstance(way, type) and issubclass(way, str | Enum) for way in ways)


BuildRow = _table(
    "build",
    Header,
    {
        "key": (int | None, Field(default=None, primary_key=True)),
        "revision": (int, Field(default=0)),
        "stops": (int | None, Field(default=None)),
        "archived": (bool, Field(default=False)),
        "created": (str, Field(sa_type=Text)),
        "changed": (str, Field(sa_type=Text)),
    },
)
"""One row for each build: its header, and what the store knows about it.

``revision`` counts the journal's lines, ``stops`` the findings that forbid the build (unknown:
null), ``created`` and ``changed`` are ISO 8601 times in UTC.
"""

ROWS: dict[str, Any] = {
    name: _table(
        name,
        record,
        {
            "build_key": (
                int,
                Field(primary_key=True, foreign_key="build.key", ondelete="CASCADE"),
            ),
            "id": (str, Field(primary_key=True, sa_type=Text)),
            "position": (int, Field()),
        },
    )
    for name, record in TABLES.items()
}
"""For each record table of a build, the table that holds those records of all builds."""


class JournalRow(SQLModel, table=True):
    """One line of a build's journal. Lines are only ever added.

    ``revision`` numbers the lines of a build from 0 without gaps. ``kind`` is "start" (``edit``
    holds the whole build as it was created), "do", "undo" or "redo" (``target`` is the revision
    of the line that is taken back or made again). ``edit`` is what was applied, ``inverse``
    what takes it back, so that applying every ``edit`` in turn gives the build. ``person`` and
    ``session`` made it; empty: from before they were kept.
    """

    __tablename__ = "journal"

    build_key: int = Field(primary_key=True, foreign_key="build.key", ondelete="CASCADE")
    revision: int = Field(primary_key=True)
    kind: str = Field(sa_type=Text)
    target: int | None = None
    edit: str = Field(sa_type=Text)
    inverse: str = Field(sa_type=Text)
    label: str = Field(sa_type=Text)
    at: str = Field(sa_type=Text)
    person: str = Field(default="", sa_type=Text)
    session: str = Field(default="", sa_type=Text)
    checksum: str = Field(default="", sa_type=Text)


class MigrationRow(SQLModel, table=True):
    """A migration that has run on this store."""

    __tablename__ = "migration"

    name: str = Field(primary_key=True, sa_type=Text)
    at: str = Field(sa_type=Text)


SHOP_ROWS: dict[str, Any] = {
    name: _table(
        SHOP_TABLES[name],
        record,
        {"id": (str, Field(primary_key=True, sa_type=Text)), "position": (int, Field())},
        f"Shop{record.__name__}Row",
    )
    for name, record in Shop.TABLES.items()
}
"""The tables of what the shop keeps: one shop in a store. A price is an exact decimal, as text."""


class ShopJournalRow(SQLModel, table=True):
    """One line of the shop's journal, as ``JournalRow`` but numbered from 1, without a start.

    It begins when the shop is first changed: it is there for undo, not to replay the shop from.
    """

    __tablename__ = "shop_journal"

    revision: int = Field(primary_key=True)
    kind: str = Field(sa_type=Text)
    target: int | None = None
    edit: str = Field(sa_type=Text)
    inverse: str = Field(sa_type=Text)
    label: str = Field(sa_type=Text)
    at: str = Field(sa_type=Text)
    person: str = Field(default="", sa_type=Text)
    session: str = Field(default="", sa_type=Text)
    checksum: str = Field(default="", sa_type=Text)


class PresenceRow(SQLModel, table=True):
    """A session that is at work: in a build or elsewhere, on a page, last heard of at ``seen``."""

    __tablename__ = "presence"

    session: str = Field(primary_key=True, sa_type=Text)
    person: str = Field(sa_type=Text)
    build_key: int | None = None
    page: str = Field(sa_type=Text)
    seen: str = Field(sa_type=Text)


class LeftOffRow(SQLModel, table=True):
    """Where a person was when a session was cut off, and what was half-typed there."""

    __tablename__ = "left_off"

    session: str = Field(primary_key=True, sa_type=Text)
    person: str = Field(sa_type=Text)
    build_key: int | None = None
    page: str = Field(sa_type=Text)
    grid: str = Field(sa_type=Text)
    row: str = Field(sa_type=Text)
    cell: str = Field(sa_type=Text)
    typed: str | None = Field(default=None, sa_type=Text)
    at: str = Field(sa_type=Text)


class WantedColumnsRow(SQLModel, table=True):
    """Which columns of a table a person wants to see: their ids, one a line."""

    __tablename__ = "wanted_columns"

    person: str = Field(primary_key=True, sa_type=Text)
    grid: str = Field(primary_key=True, sa_type=Text)
    shown: str = Field(sa_type=Text)


FILE_TABLES: dict[str, Any] = SQLModel.metadata.tables
"""Every table by its name in the file."""
