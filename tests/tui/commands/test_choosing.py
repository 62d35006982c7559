"""Which build a word means: its key, its title, or the only one with that in its title."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from domain.build.choices import UnitHabit
from domain.build.edits import SetField, apply
from domain.build.records import Build
from domain.build.start import start_build
from storage.store.builds import Store
from tui.commands.choosing import key_of
from tui.commands.exits import Refused


def titled(title: str) -> Build:
    edit = SetField(table="header", field="title", value=title)
    return apply(start_build(UnitHabit.INCH), edit)[0]


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path / "builds.db") as store:
        for title in ("Blue van", "2", "0030"):
            store.create(titled(title))
        yield store


def test_a_key_is_looked_up_without_reading_the_list(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(store, "builds", None)
    assert [key_of(store, key) for key in ("1", "2", "3")] == [1, 2, 3]


@pytest.mark.parametrize(("wanted", "key"), [("blue", 1), ("0030", 3), ("30", 3)])
def test_what_is_no_key_is_looked_for_in_the_titles(store: Store, wanted: str, key: int) -> None:
    assert key_of(store, wanted) == key


@pytest.mark.parametrize("wanted", ["4", "-1", "9" * 30, "٣", ""])
def test_no_build_is_a_refusal(store: Store, wanted: str) -> None:
    with pytest.raises(Refused, match="no build is"):
        key_of(store, wanted)
