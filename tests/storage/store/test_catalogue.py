"""The catalogue in the store: what is put in comes back, or nothing was changed."""

import sqlite3
import subprocess
import sys
from contextlib import closing
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from domain.build.record_kinds.extra_records import PackUnit
from domain.build.start import start_build
from domain.shop.catalogue import CatalogueItem, catalogue_csv, read_catalogue
from storage.store.builds import Store, StoreError
from storage.store.location import Place
from tests.storage.store.builds import new_store
from tests.storage.store.stocking import Stocking


def item(name: str, **values: Any) -> CatalogueItem:
    return CatalogueItem.of({"name": name, "group": "Terminals", **values})


FERRULES = item(
    "Ferrules",
    item_rule="ferrule",
    size_rule="4 awg",
    pack=25,
    price="0.1005",
    on_shelf=7.5,
    supplier="=the one, next door",
)
SPOOL = item("Spool", group="Wire", pack=30.5, unit="m")


def test_what_is_put_in_is_there_after_closing(tmp_path: Path) -> None:
    # conservation: exact price, unit and all text
    path, key = new_store(tmp_path, start_build("Kept"))
    with Store(path) as store:
        catalogue = Stocking(store)
        assert catalogue.items() == ()
        first, second = catalogue.put(FERRULES), catalogue.put(SPOOL)
        assert (first.id, second.id) == ("i1", "i2")
    with Store(path) as store:
        items = Stocking(store).items()
        assert items == (first, second)
        assert items[0].price == Decimal("0.1005")
        assert items[1].unit is PackUnit.METRE
        assert store.open(key).document.header.title == "Kept"
    with closing(sqlite3.connect(path)) as file:
        assert file.execute("SELECT typeof(price), price FROM catalogue").fetchone() == (
            "text",
            "0.1005",
        )


def test_an_item_is_changed_in_its_place_and_removed(place: Place) -> None:
    path, _ = new_store(place)
    with Store(path) as store:
        catalogue = Stocking(store)
        first, second = catalogue.put(FERRULES), catalogue.put(SPOOL)
        dearer = first.but(price=Decimal("0.20"))
        assert catalogue.put(dearer) == dearer
        assert catalogue.items() == (dearer, second)
        catalogue.remove(first.id)
        assert catalogue.items() == (second,)
        for refused in (lambda: catalogue.remove("i9"), lambda: catalogue.put(dearer)):
            with pytest.raises(StoreError, match="there is no item"):
                refused()
        with pytest.raises(StoreError, match="there is an item 'Spool'"):
            catalogue.put(SPOOL)
        assert catalogue.items() == (second,)


def test_a_whole_catalogue_is_replaced_and_names_keep_their_ids(place: Place) -> None:
    path, _ = new_store(place)
    with Store(path) as store:
        catalogue = Stocking(store)
        first, second = catalogue.put(FERRULES), catalogue.put(SPOOL)
        read = read_catalogue(catalogue_csv((SPOOL, item("New"), FERRULES)))
        stored = catalogue.replace_all(read)
        assert [each.id for each in stored] == [second.id, "i3", first.id]
        assert catalogue.items() == stored
        with pytest.raises(StoreError, match="there is an item 'New' in the shop already"):
            catalogue.replace_all([item("New"), item("New")])
        assert catalogue.items() == stored
        assert catalogue.replace_all([]) == ()
        assert catalogue.items() == ()


def test_the_shelf_is_taken_from_as_a_whole_or_not_at_all(place: Place) -> None:
    # by hand: 7.5 less 2.25
    path, _ = new_store(place)
    with Store(path) as store:
        catalogue = Stocking(store)
        first, second = catalogue.put(FERRULES), catalogue.put(SPOOL)
        with pytest.raises(StoreError, match=r"Spool: 1 m cannot be taken, 0 m are in stock"):
            catalogue.take_off_shelf({first.id: 1, second.id: 1})
        with pytest.raises(StoreError, match="there is no item 7"):
            catalogue.take_off_shelf({first.id: 1, "i7": 1})
        with pytest.raises(StoreError, match="cannot be taken"):
            catalogue.take_off_shelf({first.id: -1})
        assert catalogue.items()[0].on_shelf == 7.5
        catalogue.take_off_shelf({first.id: 2.25})
        assert catalogue.items()[0].on_shelf == 5.25
        catalogue.take_off_shelf({first.id: 5.25})
        assert catalogue.items()[0].on_shelf == 0


def test_an_item_changes_from_pieces_to_lengths_at_once(place: Place) -> None:
    # half a piece is no pack, half a metre is: both change in one edit
    path, _ = new_store(place)
    with Store(path) as store:
        catalogue = Stocking(store)
        first = catalogue.put(item("Loom", pack=2))
        longer = first.but(pack=2.5, unit=PackUnit.METRE)
        assert catalogue.put(longer) == longer
        assert catalogue.items() == (longer,)


def test_two_sessions_see_each_others_changes(place: Place) -> None:
    path, _ = new_store(place)
    with Store(path) as one, Store(path) as other:
        Stocking(one).put(FERRULES)
        second = Stocking(other).put(SPOOL)
        assert second.id == "i2"
        assert [each.name for each in Stocking(one).items()] == ["Ferrules", "Spool"]


def test_own_times_are_kept_and_put_back(place: Place) -> None:
    path, _ = new_store(place)
    with Store(path) as store:
        catalogue = Stocking(store)
        assert catalogue.times() == {}
        catalogue.replace_times({"fuse": 20.5, "amplifier": 60})
    with Store(path) as store:
        catalogue = Stocking(store)
        assert catalogue.times() == {"amplifier": 60, "fuse": 20.5}
        for bad in ({"solder": 5.0}, {"fuse": -1.0}, {"fuse": float("nan")}):
            with pytest.raises(StoreError, match=r"no operation|from 0 to|finite"):
                catalogue.replace_times(bad)
        assert catalogue.times() == {"amplifier": 60, "fuse": 20.5}
        catalogue.replace_times({})
        assert catalogue.times() == {}


def test_a_damaged_row_is_named(tmp_path: Path) -> None:
    path, _ = new_store(tmp_path)
    with Store(path) as store:
        Stocking(store).put(FERRULES)
    with closing(sqlite3.connect(path)) as file:
        file.execute("UPDATE catalogue SET pack = -1")
        file.commit()
    with Store(path) as store:
        with pytest.raises(StoreError, match="damaged in item 1: pack"):
            Stocking(store).items()
        assert len(store.builds()) == 1


def test_a_store_that_may_only_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path, _ = new_store(tmp_path)
    with Store(path) as store:
        Stocking(store).put(FERRULES)
    with Store(path) as store:
        monkeypatch.setattr(store.database, "read_only", True)
        with pytest.raises(StoreError, match="may only be read, nothing was saved"):
            Stocking(store).put(SPOOL)
        assert len(Stocking(store).items()) == 1


READING = """
import sys
from pathlib import Path
from tests.storage.store.stocking import Stocking
from storage.store.builds import Store
with Store(Path(sys.argv[1])) as store:
    catalogue = Stocking(store)
    print(len(catalogue.items()), catalogue.times())
    print(sorted({"sqlmodel", "sqlalchemy", "numpy", "pint", "textual"} & sys.modules.keys()))
"""


def test_reading_imports_nothing_slow(tmp_path: Path) -> None:
    path, _ = new_store(tmp_path)
    with Store(path) as store:
        Stocking(store).put(FERRULES)
    fresh = subprocess.run(
        [sys.executable, "-c", READING, str(path)],
        cwd=Path(__file__).parents[3],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert fresh.stdout == "1 {}\n[]\n"
