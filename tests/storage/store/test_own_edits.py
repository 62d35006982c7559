"""Whose edit undo and redo are about, found from the end of the journal.

The second method plays the whole journal forward and keeps what stands and what is taken back.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from random import Random
from typing import Any

import pytest

from domain.build.edits import Edit
from domain.build.records import Build
from storage.store import journal, own_edits
from storage.store.author import Author
from storage.store.builds import Store, StoreError
from storage.store.filing import of_build
from storage.store.journal import JournalLine, Step
from storage.store.shop_filing import of_shop
from tests.storage.store.builds import file_of, new_store, set_length, set_title

WHY_NOT = ("nothing of yours", "cannot be")

Way = Callable[..., Step | None]

AUTHORS = (
    Author("Kim", "s1"),
    Author("Kim", "s2"),
    Author("Lee", "s3"),
    Author("", "s4"),
    Author("Kim", "new"),
)


class Played:
    """A journal of several people as it grows, and by playing it forward what stands in it."""

    def __init__(self) -> None:
        self.lines = [JournalLine(0, "start", None, "created", "", "", "")]
        self.stands: list[tuple[int, JournalLine]] = []
        self.undone: list[tuple[int, JournalLine]] = []

    def add(self, kind: str, by: Author, target: int | None = None) -> None:
        number = len(self.lines)
        line = JournalLine(number, kind, target, f"e{target or number}", "", by.person, by.session)
        self.lines.append(line)
        if kind == "do":
            self.stands.append((number, line))
            self.undone = [
                (about, each)
                for about, each in self.undone
                if each.person and each.person != by.person and each.session != by.session
            ]
            return
        here, there = (self.stands, self.undone) if kind == "undo" else (self.undone, self.stands)
        place = [about for about, _ in here].index(target or 0)
        there.append((here.pop(place)[0], line))

    def edit(self, revision: int) -> Edit:
        """What was done at a revision: one of three lengths."""
        return set_length(f"r{revision * 7 % 3}", 1.0 + revision)

    def expected(self, kind: str, author: Author, live: set[str]) -> int | str | None:
        """The revision that the next undo or redo is about, or why there is none."""

        def mine(line: JournalLine) -> bool:
            over = line.session not in live and line.person in ("", author.person)
            return line.session == author.session or over

        here = self.stands if kind == "undo" else self.undone
        own = [(about, line) for about, line in here if mine(line)]
        if not own:
            return WHY_NOT[0] if kind == "undo" and here else None
        about, since = own[-1]
        for later, line in self.stands:
            met = later * 7 % 3 == about * 7 % 3
            if not mine(line) and line.revision > since.revision and met:
                return WHY_NOT[1]
        return about


@pytest.fixture(name="held")
def _held(monkeypatch: pytest.MonkeyPatch) -> Callable[[Played, set[str]], None]:
    def hold(played: Played, live: set[str]) -> None:
        def newest_first(*_: object) -> Iterator[JournalLine]:
            return iter(played.lines[::-1])

        def step(_: object, __: object, revision: int) -> Step:
            edit = played.edit(revision)
            return Step(revision, f"e{revision}", edit, edit)

        def turns(*_: object) -> Iterator[JournalLine]:
            return (line for line in played.lines[::-1] if line.kind in ("undo", "redo"))

        def edited_since(_: object, __: object, since: int, person: str, session: str) -> bool:
            return any(
                not person or person == line.person or session == line.session
                for line in played.lines[since + 1 :]
                if line.kind == "do"
            )

        monkeypatch.setattr(journal, "newest_first", newest_first)
        monkeypatch.setattr(journal, "turns", turns)
        monkeypatch.setattr(journal, "edited_since", edited_since)
        monkeypatch.setattr(journal, "step", step)
        monkeypatch.setattr(own_edits, "live_sessions", lambda _: live)

    return hold


def test_the_end_tells_what_the_whole_journal_tells(
    held: Callable[[Played, set[str]], None],
) -> None:
    ways: dict[str, Way] = {"undo": own_edits.next_undo, "redo": own_edits.next_redo}
    nobody: Any = None
    told: set[str] = set()
    for seed in range(20):
        random = Random(seed)
        played = Played()
        for _ in range(40):
            live = {author.session for author in AUTHORS if random.random() < 0.7}
            held(played, live)
            for author in AUTHORS:
                for kind, way in ways.items():
                    expected = played.expected(kind, author, live)
                    found: int | str | None
                    try:
                        step = way(nobody, of_build(1), author)
                        found = None if step is None else step.revision
                    except StoreError as error:
                        found = next(why for why in WHY_NOT if why in str(error))
                    assert found == expected, (seed, len(played.lines), kind, author)
                    told.add(f"{kind} {expected if isinstance(expected, str) else type(expected)}")
            kind = random.choice(("do", "undo", "undo", "redo"))
            here = {"undo": played.stands, "redo": played.undone}.get(kind, [])
            if kind == "do" or here:
                target = random.choice(here)[0] if here else None
                played.add(kind, random.choice(AUTHORS[:4]), target)
    assert len(told) == 7, told  # each of the outcomes was there


@contextmanager
def counted(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[int]]:
    """The revisions of the lines of a journal that are read."""
    found: list[int] = []

    def line(revision: int, *rest: Any) -> JournalLine:
        found.append(revision)
        return JournalLine(revision, *rest)

    monkeypatch.setattr(journal, "JournalLine", line)
    yield found
    monkeypatch.undo()


def test_undo_reads_the_end_of_a_long_journal_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # 100,000 edits were read at each undo: 84 ms
    path, key = new_store(tmp_path)
    with Store(path) as store:
        kept = store.build(key)
        for number in range(100):
            edit = set_title(f"Title {number}")
            kept.change(partial(_same, edit))
        with counted(monkeypatch) as read:
            for number in (98, 97, 96):
                done = kept.undo()
                assert done is not None
                assert done.document.header.title == f"Title {number}"
            for number in (97, 98, 99):
                done = kept.redo()
                assert done is not None
                assert done.document.header.title == f"Title {number}"
            assert kept.redo() is None  # this session and person have gone on since
        assert len(read) < 7 * 40


def test_nothing_to_redo_is_looked_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # a session that had made no edit read 100,000 of others to find nothing: 0.4 s
    path, key = new_store(tmp_path)
    with Store(path) as store:
        kept = store.build(key)
        kept.change(partial(_same, set_title("First")))
        assert kept.undo()
        for number in range(100):
            kept.change(partial(_same, set_title(f"Title {number}")))
    with Store(path) as later:
        kept = later.build(key)
        with counted(monkeypatch) as read:
            assert kept.redo() is None
        assert len(read) == 1
        file = file_of(later)
        for table, document in (("journal", of_build(key)), ("shop_journal", of_shop())):
            asked: list[str] = []
            file.set_trace_callback(asked.append)
            assert not list(journal.turns(file, document)) or document.key
            file.set_trace_callback(None)
            plan = " ".join(row[3] for row in file.execute(f"EXPLAIN QUERY PLAN {asked[0]}"))
            assert f"{table}_turns" in plan
            assert "TEMP B-TREE" not in plan


def _same(edit: Edit, _: Build) -> Edit:
    return edit
