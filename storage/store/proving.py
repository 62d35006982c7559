"""Is what the store holds what was entered? Rows are held against the journal of every edit.

A database finds a page that cannot be, not a figure that has become another. The journal
holds every value a second time, so that the two disagree where one of them was damaged.
"""

from collections.abc import Iterable, Iterator
from typing import Any

from msgspec import Struct

from domain.build.edits import EditRefused, apply
from domain.build.records import Build
from domain.document.entry import Entry
from domain.document.records import Document, label, records
from storage.errors import DATABASE_ERRORS, StoreError
from storage.store import journal
from storage.store.database import Reading
from storage.store.filing import Filing, of_build
from storage.store.read import read
from storage.store.shop_filing import of_shop

MOST_TOLD = 20
"""Of one document at most so many differences are told."""


class Proof(Struct, frozen=True):
    """What was looked at, and what is wrong with it, each as a sentence."""

    builds: int
    lines: int
    wrong: tuple[str, ...]


def prove(connection: Reading, damage: Iterable[str] = ()) -> Proof:
    """Look through a whole store, in one open read transaction.

    ``damage`` is what the database itself has found.
    """
    wrong = list(damage)
    builds = lines = 0
    try:
        keys = [key for (key,) in connection.execute("SELECT key FROM build ORDER BY key")]
        for key in keys:
            builds += 1
            wrong += _guarded(f"build {key}", _build(connection, key))
        wrong += _guarded("the shop", _shop(connection))
        for table in ("journal", "shop_journal"):
            lines += int(connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0])
    except (*DATABASE_ERRORS, StoreError) as error:
        wrong.append(f"the store cannot be read to its end: {error}")
    return Proof(builds, lines, tuple(wrong))


def _guarded(whose: str, found: Iterator[str]) -> Iterator[str]:
    try:
        for number, each in enumerate(found):
            if number == MOST_TOLD:
                yield f"{whose}: and more"
                return
            yield each
    except StoreError as error:
        yield f"{whose}: {error}"
    except DATABASE_ERRORS as error:
        yield f"{whose} cannot be read: {error}"


def _build(connection: Reading, key: int) -> Iterator[str]:
    filing = of_build(key)
    yield from _numbers(connection, filing)
    opened = read(connection, filing)
    told = journal.replay(connection, key)
    yield from (f"build {key}: {each}" for each in differences(opened.document, told))
    yield from (f"build {key}: {each}" for each in _inverses(connection, filing, opened.document))


def _shop(connection: Reading) -> Iterator[str]:
    filing = of_shop()
    yield from _numbers(connection, filing)
    shop = read(connection, filing).document
    yield from (f"the shop: {each}" for each in _inverses(connection, filing, shop))


def _numbers(connection: Reading, filing: Filing[Any]) -> Iterator[str]:
    """Every revision has its line, in order, and a kind and a time that can be."""
    expected = 0 if filing.key is not None else 1
    (revision,) = connection.execute(filing.revision, filing.arguments).fetchone()
    for line in journal.lines(connection, filing):
        if line.revision != expected:
            yield f"{filing.whose}: the journal has no line {expected}"
            return
        start = line.revision == 0
        known = line.kind == "start" if start else line.kind in ("do", "undo", "redo")
        if not known or (line.target is not None) != (line.kind in ("undo", "redo")):
            yield f"{filing.whose}: line {line.revision} of the journal is no edit: {line.kind!r}"
        expected += 1
    for number in journal.damaged_lines(connection, filing):
        yield f"{filing.whose}: line {number} of the journal is not as it was written"
    if revision != expected - 1:
        yield (f"{filing.whose} is at revision {revision}, its journal ends at {expected - 1}")


def _inverses(connection: Reading, filing: Filing[Any], document: Document) -> Iterator[str]:
    """Each line taken back and made again leads to where it was: edit, inverse and rows agree."""
    after = document
    for each in journal.since(connection, filing, -1):
        if each.edit is None or each.inverse is None:
            continue
        try:
            before, _ = apply(after, each.inverse)
            again, _ = apply(before, each.edit)
        except EditRefused as error:
            yield f"line {each.line.revision} of the journal cannot be taken back: {error}"
            return
        if again != after:
            for said in differences(after, again):
                yield f"line {each.line.revision} of the journal: {said}"
            return
        after = before
    start = _start(connection, filing)
    if start is not None and start != after:
        for said in differences(after, start):
            yield f"taken back to its beginning: {said}"


def _start(connection: Reading, filing: Filing[Any]) -> Build | None:
    if filing.key is None:
        return None
    return journal.replay(connection, filing.key, 0)


def differences(rows: Document, told: Document) -> Iterator[str]:
    """Where two states of a document differ, as sentences; the second is what the journal says."""
    if rows.HEADER is not None:
        yield from _fields("the header", getattr(rows, "header"), getattr(told, "header"))  # noqa: B009
    for table in rows.TABLES:
        mine = {record.id: record for record in records(rows, table)}
        theirs = {record.id: record for record in records(told, table)}
        for id in mine.keys() - theirs.keys():
            yield f"{table} {id} is not in the journal"
        for id in theirs.keys() - mine.keys():
            yield f"{table} {id} is missing, the journal has it"
        for id, record in mine.items():
            if id in theirs:
                yield from _fields(f"{label(rows, id)} ({id})", record, theirs[id])
        if list(mine) != list(theirs) and mine.keys() == theirs.keys():
            yield f"{table} are in another order than the journal has them"


def _fields(whose: str, record: Entry, told: Entry) -> Iterator[str]:
    for field in record.__struct_fields__:
        one, other = getattr(record, field), getattr(told, field)
        if one != other:
            yield f"{field} of {whose} is {one!r}, by the journal {other!r}"
