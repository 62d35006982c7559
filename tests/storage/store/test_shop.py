"""The shop in the store: every change saved and undone, two sessions, damage, older layouts.

Expected values: conservation (what was there before comes back), or put down by hand.
"""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from domain.build.actions import add, applied
from domain.build.edits import AddRecord, Batch, EditRefused, MoveRecord, RemoveRecord, SetField
from domain.build.records import Build
from domain.shop.catalogue import CatalogueItem
from domain.shop.shop import Shop
from domain.shop.shop_actions import add_item, replaced_items, replaced_library
from storage.store import layout
from storage.store.builds import Store, StoreChanged, StoreError
from storage.store.migrations import m0007_shop
from storage.store.shelf import ShopCatalogue
from storage.store.shop import ShopStore
from tests.storage.store.builds import new_store

NAMES = ("Ferrules", "=1+1", "[/red]", "🔊 低音")


def filled(store: Store) -> ShopStore:
    """A shop with four items and a footprint with two studs."""
    shop = ShopStore(store)
    for name in NAMES:
        shop.change(lambda now, name=name: add_item(now, name=name, price="1.5"))  # type: ignore[misc]
    shop.change(lambda now: add(now.library, "footprints", name="Small amplifier", mass_kg=2.5))
    shop.change(lambda now: add(now.library, "studs", x_m=0.01, y_m=0.02, thread="M4"))
    shop.change(lambda now: add(now.library, "studs", x_m=0.09, y_m=0.02, screw_m=0.016))
    shop.change(lambda now: SetField(table="times", id="fuse", field="value", value=7))
    return shop


def read(path: Path) -> Shop:
    with Store(path) as store:
        return ShopStore(store).open().shop


def test_what_is_put_in_is_there_after_closing(tmp_path: Path) -> None:
    path, _ = new_store(tmp_path)
    with Store(path) as store:
        shop = filled(store).open()
    assert shop.revision == 8
    again = read(path)
    assert again == shop.shop
    assert tuple(item.name for item in again.items) == NAMES
    assert again.times == {"fuse": 7}
    assert [(s.x_m, s.thread, s.screw_m) for s in again.library.studs] == [
        (0.01, "M4", None),
        (0.09, "M5", 0.016),
    ]


def test_every_change_is_taken_back_and_made_again_across_restarts(tmp_path: Path) -> None:
    path, _ = new_store(tmp_path)
    with Store(path) as store:
        before = filled(store).open().shop
    edits = (
        SetField(table="items", id="2", field="price", value=None),
        MoveRecord(table="items", id="1", index=3),
        RemoveRecord(table="items", id="3"),
        SetField(table="times", id="fuse", field="value", value=None),
        SetField(table="footprints", id="f1", field="mass_kg", value=3),
        RemoveRecord(table="studs", id="u1"),
        replaced_items(before, before.items[2:]),
        replaced_library(before, Build()),
    )
    states = [before]
    for edit in edits:
        with Store(path) as store:
            states.append(ShopStore(store).change(lambda now, edit=edit: edit).shop)  # type: ignore[misc]
        assert read(path) == states[-1]
    for expected in reversed(states[:-1]):
        with Store(path) as store:
            shop = ShopStore(store)
            done = shop.undo(shop.open().revision)
            assert done is not None
        assert read(path) == expected
    for expected in states[1:]:
        with Store(path) as store:
            shop = ShopStore(store)
            assert shop.redo(shop.open().revision) is not None
        assert read(path) == expected
    with Store(path) as store:
        shop = ShopStore(store)
        assert shop.redo(shop.open().revision) is None


def test_rows_stay_in_order_whatever_is_put_between(tmp_path: Path) -> None:
    path, _ = new_store(tmp_path)
    with Store(path) as store:
        shop = filled(store)
        shop.change(lambda now: add_item(now, "1", name="Second"))
        shop.change(lambda now: RemoveRecord(table="items", id="2"))
        shop.change(lambda now: add_item(now, name="Last"))
    assert [item.name for item in read(path).items] == [
        "Ferrules",
        "Second",
        "[/red]",
        "🔊 低音",
        "Last",
    ]


def test_two_sessions_change_the_shop_and_nothing_is_lost(tmp_path: Path) -> None:
    path, _ = new_store(tmp_path)
    with Store(path) as one, Store(path) as other:
        first, second = filled(one), ShopStore(other)
        old = second.open().revision
        first.change(lambda now: SetField(table="items", id="1", field="price", value="9"))
        made = second.change(lambda now: SetField(table="items", id="2", field="price", value="8"))
        assert made.revision == old + 2
        assert [str(item.price) for item in made.shop.items[:2]] == ["9", "8"]
        with pytest.raises(StoreChanged):
            first.undo(old + 1)
        assert first.open().shop == made.shop
        first.change(lambda now: RemoveRecord(table="items", id="1"))
        with pytest.raises(EditRefused, match="there is no item 1"):
            second.change(lambda now: SetField(table="items", id="1", field="price", value="1"))
    assert [item.id for item in read(path).items] == [2, 3, 4]


def test_the_command_line_and_the_screen_share_one_journal(tmp_path: Path) -> None:
    path, _ = new_store(tmp_path)
    with Store(path) as store:
        shop = filled(store)
        before = shop.open().shop
        ShopCatalogue(store).replace_all(before.items[:1])
        ShopCatalogue(store).replace_times({})
        for _ in range(2):
            shop.undo(shop.open().revision)
        assert shop.open().shop == before


def test_bad_changes_are_refused_whole(tmp_path: Path) -> None:
    path, _ = new_store(tmp_path)
    with Store(path) as store:
        shop = filled(store)
        before = shop.open()
        again = AddRecord(table="items", record={"id": 9, "name": NAMES[0], "group": "Wire"})
        for edit, said in (
            (again, "'Ferrules' in the shop already"),
            (SetField(table="items", id="1", field="name", value="  "), "name"),
            (SetField(table="items", id="1", field="pack", value=0), "pack"),
            (SetField(table="items", id="1", field="id", value=7), "no field"),
            (SetField(table="items", id="77", field="pack", value=1), "no item 77"),
            (SetField(table="times", id="fuse", field="value", value=-1), "from 0 to"),
            (SetField(table="times", id="weld", field="value", value=1), "no operation"),
            (SetField(table="footprints", id="f1", field="name", value=" "), "needs a name"),
            (RemoveRecord(table="footprints", id="f1"), "still used"),
            (SetField(table="runs", id="r1", field="name", value=""), "no table 'runs'"),
            (Batch(edits=(RemoveRecord(table="items", id="1"), again, again)), "already"),
        ):
            with pytest.raises(EditRefused, match=said):
                shop.change(lambda now, edit=edit: edit)  # type: ignore[misc]
            assert shop.open() == before
    assert read(path) == before.shop


@pytest.mark.parametrize(
    ("damage", "named", "mend"),
    [
        ("UPDATE catalogue SET pack = -1 WHERE id = 2", "catalogue is damaged in item 2", "items"),
        ("UPDATE shop_stud SET x_m = 99 WHERE id = 'u2'", "in stud u2: x_m", "library"),
        ("UPDATE shop_stud SET footprint = 'f7'", "stud u1: footprint names f7", "library"),
        ("UPDATE shop_footprint SET name = CAST(x'ff' AS TEXT)", "a text that", "library"),
    ],
)
def test_a_damaged_row_is_named_and_a_file_mends_it(
    tmp_path: Path, damage: str, named: str, mend: str
) -> None:
    path, _ = new_store(tmp_path)
    with Store(path) as store:
        whole = filled(store).open().shop
    with closing(sqlite3.connect(path)) as file, file:
        file.execute(damage)
    with Store(path) as store:
        shop = ShopStore(store)
        with pytest.raises(StoreError, match=named):
            shop.open()
        with pytest.raises(StoreError, match=named):
            shop.change(add_item)
        if mend == "items":
            shop.change(lambda now: replaced_items(now, whole.items), ("items",))
        else:
            shop.change(lambda now: replaced_library(now, whole.library), ("footprints", "studs"))
        mended = ShopStore(store).open().shop
    assert [item.name for item in mended.items] == list(NAMES)
    assert mended.library.footprints[0].name == "Small amplifier"
    assert len(mended.library.studs) == 2


def test_an_older_store_keeps_its_items_in_their_order(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # positions with gaps and doubles, as the layout before it could hold
    path = tmp_path / "builds.sqlite"
    older = layout.MIGRATIONS[: layout.MIGRATIONS.index(m0007_shop)]
    with monkeypatch.context() as patch:
        patch.setattr(layout, "MIGRATIONS", older)
        Store(path).close()
    with closing(sqlite3.connect(path)) as file, file:
        for id, position, name in ((1, 7, "C"), (2, 0, "A"), (5, 3, "B"), (4, 9, "D")):
            file.execute(
                'INSERT INTO catalogue (id, position, name, "group", item_rule, size_rule, pack, '
                "unit, price, on_shelf, supplier) VALUES (?, ?, ?, 'Wire', '', '', 1, 'each', "
                "'0.1005', 2, '')",
                (id, position, name),
            )
        file.execute("INSERT INTO labour_time VALUES ('fuse', 3)")
    with Store(path) as store:
        shop = ShopStore(store)
        found = shop.open()
        assert (found.revision, found.shop.times) == (0, {"fuse": 3})
        assert [item.name for item in found.shop.items] == ["A", "B", "C", "D"]
        assert found.shop.library == Build()
        shop.change(lambda now: add_item(now, name="E"))
        assert shop.undo(1) is not None
    after = read(path)
    assert after == found.shop
    with closing(sqlite3.connect(path)) as file:
        assert file.execute("SELECT position FROM catalogue ORDER BY position").fetchall() == [
            (0,),
            (1,),
            (2,),
            (3,),
        ]


def test_ids_of_items_stay_when_a_file_is_taken() -> None:
    known = CatalogueItem(id=4, name="A", group="Wire")
    taken = [CatalogueItem(name="B", group="Wire"), CatalogueItem(name="A", group="Wire")]
    edit = replaced_items(Shop(items=(known,)), taken)
    assert [record["id"] for record in edit.tables["items"]] == [5, 4]


def test_a_library_takes_a_builds_ids_as_its_own() -> None:
    build = applied(Build(), add(Build(), "footprints", name="One"))
    shop = Shop(library=build)
    other = applied(Build(), add(Build(), "footprints", name="Two"))
    other = applied(other, add(other, "footprints", name="One"), add(other, "studs"))
    edit = replaced_library(shop, other)
    assert [(r["id"], r["name"]) for r in edit.tables["footprints"]] == [
        ("f2", "Two"),
        ("f1", "One"),
    ]
