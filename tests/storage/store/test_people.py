"""Who made which edit, and whose edit is taken back.

What is to come out follows from what was done in which order, told in each test; the random one
holds it against a second way: every person's edits replayed by hand on fields of their own.
"""

import getpass
import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime, timedelta, tzinfo
from pathlib import Path
from typing import Self

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.build.edits import AddRecord, Edit, SetField
from domain.build.records import Build
from domain.build.start import start_build
from storage.store import author, presence
from storage.store.builds import Store, StoreError
from storage.store.location import Place, Server
from tests.storage.store.builds import file_of, new_store, noticed, set_length, set_title


@contextmanager
def at_work(path: Place, *people: str) -> Iterator[list[Store]]:
    """A store opened by several people, all of them seen to be at work."""
    stores = [Store(path, person=person) for person in people]
    for store in stores:
        store.be_here(None, "Builds")
    try:
        yield stores
    finally:
        for store in stores:
            store.close()


def do(store: Store, key: int, edit: Edit) -> Build:
    return store.build(key).change(lambda build: edit).document


def undone(store: Store, key: int) -> Build:
    opened = store.build(key).undo()
    assert opened is not None
    return opened.document


START = {run.id: run.length_m for run in start_build().runs}
"""The lengths that a new build begins with."""


def length(build: Build, run: str) -> float | None:
    return next(each.length_m for each in build.runs if each.id == run)


def test_every_line_has_its_person_and_session(place: Place) -> None:
    path, key = new_store(place)
    with at_work(path, "Kim", "Lee") as (kim, lee):
        do(kim, key, set_title("By Kim"))
        do(lee, key, set_title("By Lee"))
        undone(lee, key)
        lee.shop().change(
            lambda shop: AddRecord(
                table="items", record={"id": "i1", "name": "Lug", "group": "Terminals"}
            )
        )
        lines = kim.build(key).history()[:3]
        (shop_line,) = kim.shop().history()
        assert shop_line.person == "Lee"
        assert shop_line.session == lee.author.session
    assert [(line.kind, line.person) for line in lines] == [
        ("undo", "Lee"),
        ("do", "Lee"),
        ("do", "Kim"),
    ]
    assert [line.session for line in lines] == [
        lee.author.session,
        lee.author.session,
        kim.author.session,
    ]
    assert kim.author.session != lee.author.session
    assert all(line.at.endswith("+00:00") for line in lines)


def test_undo_takes_back_one_s_own_last_edit(place: Place) -> None:
    path, key = new_store(place)
    with at_work(path, "Kim", "Lee") as (kim, lee):
        do(kim, key, set_length("r1", 1.0))
        do(lee, key, set_length("r2", 2.0))
        build = undone(kim, key)
        assert (length(build, "r1"), length(build, "r2")) == (START["r1"], 2.0)
        assert kim.build(key).redo() is not None
        build = undone(lee, key)
        assert (length(build, "r1"), length(build, "r2")) == (1.0, START["r2"])
        with pytest.raises(StoreError, match=r"nothing of yours .* by Kim"):
            lee.build(key).undo()
        assert kim.build(key).redo() is None


def test_what_somebody_has_gone_on_from_is_not_taken_back(place: Place) -> None:
    path, key = new_store(place)
    with at_work(path, "Kim", "Lee") as (kim, lee):
        do(kim, key, set_length("r1", 1.0))
        do(lee, key, set_length("r1", 2.0))
        with pytest.raises(StoreError, match="cannot be taken back: Lee has made an edit there"):
            kim.build(key).undo()
        assert length(kim.open(key).document, "r1") == 2.0
        assert length(undone(lee, key), "r1") == 1.0
        assert length(undone(kim, key), "r1") == START["r1"]
        do(lee, key, set_length("r1", 5.0))
        with pytest.raises(StoreError, match="cannot be made again: Lee has made an edit there"):
            kim.build(key).redo()
        assert length(kim.open(key).document, "r1") == 5.0


def test_a_record_that_somebody_uses_is_not_taken_back(place: Place) -> None:
    path, key = new_store(place)
    zone = {"id": "z9", "name": "Roof", "ambient_c": 60}
    with at_work(path, "Kim", "Lee") as (kim, lee):
        do(kim, key, AddRecord(table="zones", record=zone))
        do(lee, key, SetField(table="runs", id="r1", field="zone", value="z9"))
        with pytest.raises(StoreError, match=r"cannot be taken back: Roof is still used by"):
            kim.build(key).undo()
        do(lee, key, SetField(table="runs", id="r1", field="zone", value="z1"))
        do(lee, key, SetField(table="zones", id="z9", field="ambient_c", value=70))
        with pytest.raises(StoreError, match="Lee has made an edit there"):
            kim.build(key).undo()


def test_two_sessions_of_one_login_are_two(place: Place) -> None:
    path, key = new_store(place)
    with at_work(path, "shop", "shop") as (one, other):
        do(one, key, set_length("r1", 1.0))
        with pytest.raises(StoreError, match="nothing of yours"):
            other.build(key).undo()
    with Store(path, person="Kim") as kim, pytest.raises(StoreError, match="nothing of yours"):
        kim.build(key).undo()
    with Store(path, person="shop") as later:  # the sessions are over: it is the same person's
        assert length(undone(later, key), "r1") == START["r1"]


def test_who_was_not_heard_of_for_long_is_not_here(tmp_path: Path) -> None:
    path, key = new_store(tmp_path)
    with at_work(path, "Kim", "Lee") as (kim, lee):
        kim.be_here(key, "Pack")
        assert lee.others() == (presence.Present("Kim", key, "Pack"),)
        file_of(kim).execute(
            "UPDATE presence SET seen = '2020-01-01T00:00:00.000+00:00' WHERE person = 'Kim'"
        )
        assert lee.others() == ()
        kim.be_here(key, "Pack")
        assert len(lee.others()) == 1
    with Store(path, person="Lee") as lee:
        assert lee.others() == ()


@pytest.mark.parametrize("hours", [-1, 1])
def test_on_a_server_machines_with_other_clocks_meet(
    on_server: Server, monkeypatch: pytest.MonkeyPatch, hours: int
) -> None:
    path, key = new_store(on_server)
    with at_work(path, "Kim", "Lee") as (kim, lee):
        monkeypatch.setattr(presence, "datetime", wrong_by(hours))
        kim.be_here(key, "Pack")
        assert [each.person for each in kim.others()] == ["Lee"]
        monkeypatch.undo()
        assert lee.others() == (presence.Present("Kim", key, "Pack"),)


def wrong_by(hours: int) -> type[datetime]:
    class Clock(datetime):
        @classmethod
        def now(cls, tz: tzinfo | None = None) -> Self:
            return super().now(tz) + timedelta(hours=hours)

    return Clock


def test_others_are_noticed_and_one_s_own_edits_are_not(place: Place) -> None:
    path, key = new_store(place)
    with Store(path, person="Kim") as kim, Store(path, person="Lee") as lee:
        kim.moved()
        assert not kim.moved()
        do(kim, key, set_title("Mine"))
        assert not kim.moved()
        do(lee, key, set_title("Theirs"))
        assert noticed(kim)
        assert not kim.moved()


def test_a_build_as_it_was(place: Place) -> None:
    path, key = new_store(place)
    with Store(path) as store:
        seen = [store.open(key).document]
        seen += [do(store, key, set_title(title)) for title in ("One", "Two")]
        seen.append(undone(store, key))
        assert [store.as_it_was(key, revision) for revision in range(4)] == seen


@settings(max_examples=20)
@given(st.lists(st.tuples(st.integers(0, 2), st.sampled_from(["do", "undo", "redo"])), max_size=25))
def test_everybody_takes_back_what_is_theirs(turns: list[tuple[int, str]]) -> None:
    import tempfile

    runs = ("r1", "r2", "r3")
    with tempfile.TemporaryDirectory() as folder:
        path, key = new_store(Path(folder))
        done: list[list[float | None]] = [[START[run]] for run in runs]
        taken: list[list[float | None]] = [[], [], []]
        with at_work(path, "Kim", "Lee", "Max") as stores:
            for number, (who, what) in enumerate(turns, 1):
                kept = stores[who].build(key)
                if what == "do":
                    do(stores[who], key, set_length(runs[who], float(number)))
                    done[who].append(float(number))
                    taken[who].clear()
                elif what == "redo":
                    assert (kept.redo() is None) == (not taken[who])
                    if taken[who]:
                        done[who].append(taken[who].pop())
                elif len(done[who]) > 1:
                    assert kept.undo() is not None
                    taken[who].append(done[who].pop())
            build = stores[0].open(key).document
            assert [length(build, run) for run in runs] == [each[-1] for each in done]
            revision = stores[0].open(key).revision
            assert stores[0].as_it_was(key, revision) == build


def test_an_older_store_has_unknown_people_and_undoes_as_ever(tmp_path: Path) -> None:
    path, key = new_store(tmp_path)
    with Store(path, person="Kim") as store:
        do(store, key, set_title("Old"))
    with closing(sqlite3.connect(path)) as file:
        file.execute("UPDATE journal SET person = '', session = ''")
        file.commit()
    with Store(path, person="Lee") as store:
        assert store.build(key).history()[0].person == ""
        assert undone(store, key) == start_build()


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("  Kim  of\tthe bay ", "Kim of the bay"),
        ("\x1b]52;c;x\x07", "\u241b]52;c;x\u2407"),
        ("[red]Kim[/red]", "[red]Kim[/red]"),
        ("x" * 500, "x" * 60),
    ],
)
def test_a_name_is_set_once_and_harmless(
    given: str, kept: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    monkeypatch.delenv(author.PERSON_VARIABLE, raising=False)
    login = author.this_person()
    assert author.set_person(given) == kept == author.this_person()
    monkeypatch.setenv(author.PERSON_VARIABLE, "Lee")
    assert author.this_person() == "Lee"
    monkeypatch.delenv(author.PERSON_VARIABLE)
    assert author.set_person("") == login


def test_the_login_is_the_system_s_where_there_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    pwd = pytest.importorskip("pwd")
    import os

    monkeypatch.setenv("LOGNAME", "somebody else")
    assert author._login() == pwd.getpwuid(os.getuid()).pw_name
    monkeypatch.setitem(__import__("sys").modules, "pwd", None)
    assert author._login() == "somebody else"

    def nobody() -> str:
        raise OSError("no name")

    monkeypatch.setattr(getpass, "getuser", nobody)
    assert author._login() == author.UNKNOWN


def test_a_journal_whose_undo_names_no_edit_is_damaged(tmp_path: Path) -> None:
    path, key = new_store(tmp_path)
    with Store(path) as store:
        do(store, key, set_title("One"))
        undone(store, key)
        file_of(store).execute("UPDATE journal SET target = 7 WHERE revision = 2")
        with pytest.raises(StoreError, match="damaged at line 2"):
            store.build(key).redo()


def test_edits_are_as_readable_as_ever(tmp_path: Path) -> None:
    """What stands in the file: the person beside the edit, the edit's text as it was before."""
    path, key = new_store(tmp_path)
    with Store(path, person="Kim") as store:
        do(store, key, set_title("One"))
        row = (
            file_of(store).execute("SELECT person, edit FROM journal WHERE revision = 1").fetchone()
        )
    assert row["person"] == "Kim"
    assert json.loads(row["edit"])["value"] == "One"
