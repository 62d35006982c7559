"""A store of layout 10 opens, with every build, every undo and the whole shop as they were.

``layout_10/store.sql`` is the text of a store that the first version wrote, tables and rows;
``layout_10/expected.json`` is what that version itself exported of it, and after each undo. So
the expected values come from the program that wrote the store, not from the one that reads it.
"""

import json
import os
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from domain.build.records import Build
from domain.shop.csv_files import FILES
from domain.shop.shop import Shop
from storage.store import migrations, versions
from storage.store.builds import Store, StoreError
from storage.store.journal import replay
from storage.transfer import export_build
from tests.storage.store.builds import file_of, new_store

LANDED = Path(__file__).with_name("layout_10")
EXPECTED: dict[str, Any] = json.loads((LANDED / "expected.json").read_text(encoding="utf-8"))


def landed(folder: Path) -> Path:
    """The store as the first version left it."""
    path = folder / "builds.sqlite"
    with closing(sqlite3.connect(path)) as file:
        file.executescript((LANDED / "store.sql").read_text(encoding="utf-8"))
    return path


SINCE: dict[str, dict[str, Any]] = {
    "header": {
        **{"drive": "combustion", "smart_alternator": False, "average_level": None},
        "music": "",
    },
    "batteries": {
        **{"made_year": None, "discharge_limit_a": None, "charge_limit_a": None},
        **{"hottest_c": None, "charge_hottest_c": None, "charge_coldest_c": None},
        "place": "",
    },
    **{table: {"place": ""} for table in ("amplifiers", "grounds")},
    "alternators": {"place": "", "smart": None, "low_v": None, "high_v": None},
    "parts": {"seat": "not told", "both_hands": False},
    "holes": {"fixing": ""},
    "runs": {"count": 1, "cover": None, "breaks_a": None, "resets": "by hand", "via": ""},
    "blocks": {
        **{"isolates": None, "rated_a": None, "bar_width_m": None, "bar_thick_m": None},
        **{"join_v": None, "part_v": None, "join_s": None, "part_s": None},
        **{"peak_a": None},
        **{"charge_v": None, "input_a": None, "efficiency": None},
        "place": "",
    },
    "spots": {"into": "not told", "behind_m": None},
}
"""Fields that records have gained since, and what they hold in a store from before."""


TABLES_SINCE = ("places", "sections", "fixings", "appliances", "remotes", "leads", "extras")
"""Tables that builds have gained since: empty in a store from before."""


def exported(build: Build) -> Any:
    """A build as the first version would have exported it: without what came since."""
    found = json.loads(export_build(build))
    for table in TABLES_SINCE:
        assert found.pop(table) == []
    assert found["header"].pop("words") is None
    for table, fields in SINCE.items():
        records = [found["header"]] if table == "header" else found.get(table, [])
        for record in records:
            for field, value in fields.items():
                assert record.pop(field) == value
    return found


TIMES_SINCE = ("appliance",)
"""Operations that the table of times has gained since."""


def lists(shop: Shop) -> dict[str, str]:
    """The shop's lists as the first version would have written them."""
    found = {kind: file.write(shop) for kind, file in FILES.items()}
    assert found.pop("kits").splitlines() == ["kit,item,quantity"]  # none: they came since
    for name in TIMES_SINCE:
        kept = [line for line in found["times"].splitlines(True) if not line.startswith(f"{name},")]
        assert len(kept) == len(found["times"].splitlines()) - 1
        found["times"] = "".join(kept)
    return found


def test_every_build_is_as_it_was_and_so_is_every_undo(tmp_path: Path) -> None:
    with Store(landed(tmp_path)) as store:
        for key, expected in EXPECTED["builds"].items():
            opened = store.open(int(key))
            assert exported(opened.document) == expected
            assert replay(file_of(store), int(key)) == opened.document
        kept = store.build(1)
        undone = []
        while (done := kept.undo()) is not None:
            undone.append(exported(done.document))
        assert undone == EXPECTED["undone"]
        for _ in undone:
            again = kept.redo()
            assert again is not None
        assert store.build(2).undo() is None


def test_the_shop_is_as_it_was_and_so_is_every_undo(tmp_path: Path) -> None:
    with Store(landed(tmp_path)) as store:
        kept = store.shop()
        opened = kept.open()
        first = opened.document
        found = [lists(first)]
        while (done := kept.undo()) is not None:
            found.append(lists(done.document))
        assert found == EXPECTED["shops"]
        for _ in found[1:]:
            again = kept.redo()
            assert again is not None
        assert again is not None
        assert again.document == first
        assert store.shop().open().document == first


def test_a_copy_is_kept_beside_it_and_named(tmp_path: Path) -> None:
    path = landed(tmp_path)
    with closing(sqlite3.connect(path)) as file:
        before = list(file.iterdump())
    path.chmod(0o640)
    with Store(path) as store:
        copy = path.with_name("builds.sqlite.layout-10")
        assert str(copy) in store.notice
    assert copy.stat().st_mode & 0o777 == 0o640
    with closing(sqlite3.connect(copy)) as file:
        assert list(file.iterdump()) == before
        assert file.execute("PRAGMA user_version").fetchone()[0] == 10
    with Store(path) as store:
        assert store.notice == ""
    assert {each.name for each in tmp_path.iterdir()} == {path.name, copy.name}


def test_a_copy_that_is_there_is_left_alone(tmp_path: Path) -> None:
    path = landed(tmp_path)
    there = path.with_name("builds.sqlite.layout-10")
    there.write_text("mine")
    with Store(path) as store:
        assert store.notice.endswith("builds.sqlite.layout-10-2")
    assert there.read_text() == "mine"


def test_without_room_for_a_copy_nothing_is_changed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = landed(tmp_path)

    def full(*_: object) -> int:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "open", full)
        with pytest.raises(StoreError, match=r"no copy of it can be kept .* nothing was changed"):
            Store(path)
    with closing(sqlite3.connect(path)) as file:
        assert file.execute("PRAGMA user_version").fetchone()[0] == 10


@pytest.mark.parametrize(
    ("version", "said"),
    [
        (-1, "-1 is no number of a layout"),
        (-2000000000, "is no number of a layout"),
        (0, "0 is no number of a layout"),
        (1, "layout 1, from before the first that is still opened .10.*export each build"),
        (9, "layout 9, from before the first"),
        (versions.latest() + 1, "newer Mainrun"),
        (2000000000, "newer Mainrun"),
    ],
)
def test_any_other_layout_is_refused_in_a_sentence(tmp_path: Path, version: int, said: str) -> None:
    path, _ = new_store(tmp_path)
    with closing(sqlite3.connect(path)) as file:
        file.execute(f"PRAGMA user_version = {version}")
    with pytest.raises(StoreError, match=said):
        Store(path)
    with closing(sqlite3.connect(path)) as file:
        assert file.execute("PRAGMA user_version").fetchone()[0] == version


def test_migrations_are_found_by_their_names() -> None:
    files = sorted(each.stem for each in Path(migrations.__path__[0]).rglob("m[0-9]*.py"))
    assert [each.NAME for each in versions.MIGRATIONS] == files
    assert [each.module.NAME for each in versions.MIGRATIONS] == files
    numbers = [int(each.NAME[1:5]) for each in versions.MIGRATIONS]
    assert numbers == list(range(versions.FIRST, versions.latest() + 1))
