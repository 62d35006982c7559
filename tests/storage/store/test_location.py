"""Where the store is: given, else from the environment, else the user's data directory."""

from pathlib import Path

import pytest

from storage.errors import StoreError
from storage.store.location import store_place


def test_the_place_given_comes_first(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("MAINRUN_STORE", "/elsewhere/builds.sqlite")
    assert store_place("mine.sqlite") == Path("mine.sqlite")
    assert store_place("~/mine.sqlite") == Path.home() / "mine.sqlite"
    assert store_place(None) == Path("/elsewhere/builds.sqlite")
    assert store_place("") == Path("/elsewhere/builds.sqlite")


def test_the_home_of_nobody_is_refused() -> None:
    with pytest.raises(StoreError, match="not known here: give its path in full"):
        store_place("~no-such-user-here/builds.sqlite")


def test_else_it_is_in_the_users_data(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("MAINRUN_STORE", "")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    place = store_place(None)
    assert isinstance(place, Path)
    assert (place.parent.name, place.name) == ("mainrun", "builds.sqlite")
