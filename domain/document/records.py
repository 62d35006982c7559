"""What every document is made of: records in tables, with references between them.

A build is one document, what the shop keeps is another. Records are frozen and in SI units, the
unit in the field's name; a document says which tables it has, how their ids begin and which
fields name records. Edits, journal, store and tables on the screen know no more than that.
"""

from functools import lru_cache
from typing import Annotated, Any, ClassVar, Self

from domain.document.declared import About, Id
from domain.document.entry import Entry
from domain.document.kept import kept
from domain.units.habit import UnitHabit


class Record(Entry, frozen=True):
    """A frozen record with a short id that stays the same for its whole life."""

    id: Annotated[Id, About("Id", "short stable id, unique within the build")]


MOST_RECORDS = 5000
"""No table holds more records than this, where its document says nothing else."""

RECORD_TYPES: dict[str, type[Entry]] = {}
"""The record type of each table of any document; a name means the same in all of them."""


class Document(Entry, frozen=True):
    """Frozen tuples of records, in the order the user keeps them."""

    TABLES: ClassVar[dict[str, type[Record]]] = {}
    """Record tables, in the order in which they may be read (references point back)."""
    HEADER: ClassVar[type[Entry] | None] = None
    """Type of the header, which concerns the document as a whole; ``None``: it has none."""
    ID_PREFIX: ClassVar[dict[str, str]] = {}
    """How the ids of a table begin. A table that is not here has names of its own as ids."""
    REFERENCES: ClassVar[dict[tuple[str, str], tuple[str, ...]]] = {}
    """Which tables each reference field may point into: (table, field) -> tables; none: it is
    empty in this document."""
    MOST: ClassVar[dict[str, int]] = {}
    """How many records a table may hold, where that is not ``MOST_RECORDS``."""
    FIXED: ClassVar[dict[str, str]] = {}
    """Tables whose records neither come, go nor move, and what to say to who tries."""
    NAMELESS: ClassVar[dict[type[Entry], str]] = {}
    """Records that have no name, and what one is called, with its id behind: as drawings number
    it, and the status line where the cursor is on it."""

    def __init_subclass__(cls, **options: Any) -> None:
        """Enter its tables into the register of record types."""
        super().__init_subclass__(**options)
        header = {"header": cls.HEADER} if cls.HEADER else {}
        for table, record_type in (*cls.TABLES.items(), *header.items()):
            if RECORD_TYPES.setdefault(table, record_type) is not record_type:
                raise TypeError(f"{cls.__name__}: the table {table} holds other records elsewhere")

    def plain(self) -> dict[str, Any]:
        """Its values as JSON has them; exact decimals as text."""
        tables = {table: [row.plain() for row in records(self, table)] for table in self.TABLES}
        return {**super().plain(), **tables}

    def right(self) -> bool:
        """Whether all records are right, and the document as a whole."""
        header = (getattr(self, "header"),) if self.HEADER else ()  # noqa: B009
        own = (record for table in self.TABLES for record in records(self, table))
        return all(entry.right() for entry in (*header, *own)) and not self.wrong()

    def wrong(self) -> str:
        """Ids that are there twice, and references that name no record of the right table."""
        return "; ".join(reference_problems(self)[:5])

    def habit(self) -> UnitHabit:
        """The units that its quantities are typed and shown in."""
        raise NotImplementedError

    def name_of(self, record: Record) -> str:
        """What to call one of its records in a sentence: its name, or its id."""
        noun = self.NAMELESS.get(type(record))
        return f"{noun} {record.id}" if noun else str(getattr(record, "name", "")) or record.id

    def not_there(self, table: str, id: str) -> str:
        """What to say of a record that is not there."""
        return f"{table} has no record {id!r}"

    def default_of(self, record: Record, field: str) -> str | bool | int | float | None:
        """What counts where a field is left open, if that follows from nothing else."""
        return None

    def forbidden(self, before: Self) -> str:
        """Why an edit may not lead here from ``before``, as a sentence; empty: it may."""
        return ""


def record_type_of(table: str) -> type[Entry]:
    """The record type of a table or of "header"; ``KeyError`` if there is no such table."""
    return RECORD_TYPES[table]


def records(document: Document, table: str) -> tuple[Any, ...]:
    """The records of one table; ``KeyError`` if there is no such table."""
    if table not in document.TABLES:
        raise KeyError(table)
    found: tuple[Any, ...] = getattr(document, table)
    return found


def find(document: Document, id: str) -> Any | None:
    """The record with this id, in whatever table, or ``None``."""
    for table in _tables_for(type(document), id.rstrip("0123456789")):
        record = _by_id(getattr(document, table)).get(id)
        if record is not None:
            return record
    return None


@kept(128)
def _by_id(table: tuple[Record, ...]) -> dict[str, Record]:
    """The records of a table by their ids."""
    return {record.id: record for record in table}


@lru_cache(maxsize=256)
def _tables_for(document_type: type[Document], letters: str) -> tuple[str, ...]:
    """The tables that may hold a record whose id begins with these letters."""
    prefixes = document_type.ID_PREFIX
    return tuple(
        table for table in document_type.TABLES if letters.startswith(prefixes.get(table, ""))
    )


def next_id(document: Document, table: str, taken: frozenset[str] = frozenset()) -> str:
    """The next free id of a table; ``taken`` are ids given out but not yet in the document."""
    prefix = document.ID_PREFIX[table]
    numbers = [int(r.id[len(prefix) :]) for r in records(document, table)]
    numbers += [int(i[len(prefix) :]) for i in taken if i.startswith(prefix)]
    return f"{prefix}{max(numbers, default=0) + 1}"


def label(document: Document, id: str) -> str:
    """What to call a record in a sentence: its name, or its id where it has no name."""
    known = _labels(document)
    if id not in known:
        record = find(document, id)
        known[id] = (id or "nothing") if record is None else document.name_of(record)
    return known[id]


@kept(8)
def _labels(document: Document) -> dict[str, str]:
    """What records of a document were called so far: a page of paper asks for the same few."""
    return {}


def most(document: Document, table: str) -> int:
    """How many records a table may hold."""
    return document.MOST.get(table, MOST_RECORDS)


def reference_problems(document: Document) -> list[str]:
    """Every broken id or reference of a document, as sentences; empty when all is well."""
    problems: list[str] = []
    tables: dict[str, str] = {}
    for table in document.TABLES:
        rows, prefix = records(document, table), document.ID_PREFIX.get(table)
        if len(rows) > most(document, table):
            problems.append(
                f"{table} holds {len(rows)} records, at most {most(document, table)} are taken"
            )
        for record in rows:
            if prefix is not None and record.id.rstrip("0123456789") != prefix:
                problems.append(f"{table}: id {record.id} must be {prefix} and a number")
            if record.id in tables:
                problems.append(f"{table}: id {record.id} is there twice")
            tables[record.id] = table
    for (table, field), allowed in document.REFERENCES.items():
        for record in records(document, table):
            to = getattr(record, field)
            if to and tables.get(to) not in allowed:
                problems.append(f"{table} {record.id}: {field} names {to}, which is not there")
    return problems
