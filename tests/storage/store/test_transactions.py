"""What the store lends to its other rooms: one moment to read, all or nothing to write."""

from pathlib import Path

import pytest

from domain.build.start import start_build
from storage.store.builds import Store, StoreError
from storage.store.location import Place
from tests.storage.store.builds import commit, new_store, set_title


def titles(store: Store) -> list[str]:
    with store.reading() as reading:
        return [str(row["title"]) for row in reading.execute("SELECT title FROM build")]


def break_off(store: Store) -> None:
    with store.writing() as writing:
        writing.execute("UPDATE build SET title = 'Half'")
        raise ZeroDivisionError


def test_what_is_read_in_one_transaction_is_of_one_moment(place: Place) -> None:
    # what another session saves in between is seen afterwards, as SQLite documents for WAL
    path, key = new_store(place, start_build("Before"))
    with Store(path) as store, Store(path) as other:
        with store.reading() as reading:
            query = "SELECT title FROM build"
            first = reading.execute(query).fetchone()["title"]
            commit(other, key, 0, other.open(key).document, set_title("After"))
            assert reading.execute(query).fetchone()["title"] == first == "Before"
        assert titles(store) == ["After"]


def test_a_write_that_fails_in_the_middle_leaves_nothing(place: Place) -> None:
    path, _ = new_store(place, start_build("Whole"))
    with Store(path) as store:
        with pytest.raises(ZeroDivisionError):
            break_off(store)
        assert titles(store) == ["Whole"]
        with store.writing() as writing:
            writing.execute("UPDATE build SET title = 'New'")
        assert titles(store) == ["New"]


def test_trouble_within_is_said_in_a_sentence(place: Place) -> None:
    path, _ = new_store(place)
    with Store(path) as store:
        with (
            pytest.raises(StoreError, match=r"no such table|does not exist"),
            store.reading() as reading,
        ):
            reading.execute("SELECT * FROM wheels")
        with (
            pytest.raises(StoreError, match=r"no such table|does not exist"),
            store.writing() as writing,
        ):
            writing.execute("DELETE FROM wheels")
        assert len(store.builds()) == 1, "the store goes on after either"


def test_a_store_that_may_only_be_read_lends_no_writing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, _ = new_store(tmp_path, start_build("Kept"))
    # the access that the operating system would refuse; root may write to everything
    monkeypatch.setattr("storage.store.on_file.opening.os.access", lambda *_: False)
    with Store(path) as store:
        with pytest.raises(StoreError, match="may only be read"), store.writing():
            raise AssertionError("nothing is begun")
        assert titles(store) == ["Kept"]
