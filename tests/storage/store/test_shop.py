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
from storage.store.builds import Store, StoreError
from storage.store.documents import Kept
from storage.store.location import Place
from tests.storage.store.builds import new_store
from tests.storage.store.stocking import Stocking

NAMES = ("Ferrules", "=1+1", "[/red]", "🔊 低音")


def filled(store: Store) -> Kept[Shop]:
    """A shop with four items and a footprint with two studs."""
    shop = store.shop()
    for name in NAMES:
        shop.change(lambda now, name=name: add_item(now, name=name, price="1.5"))  # type: ignore[misc]
    shop.change(lambda now: add(now.library, "footprints", name="Small amplifier", mass_kg=2.5))
    shop.change(lambda now: add(now.library, "studs", x_m=0.01, y_m=0.02, thread="M4"))
    shop.change(lambda now: add(now.library, "studs", x_m=0.09, y_m=0.02, screw_m=0.016))
    shop.change(lambda now: SetField(table="times", id="fuse", field="value", value=7))
    return shop


def read(path: Place) -> Shop:
    with Store(path) as store:
        return store.shop().open().document


def test_what_is_put_in_is_there_after_closing(place: Place) -> None:
    path, _ = new_store(place)
    with Store(path) as store:
        shop = filled(store).open()
    assert shop.revision == 8
    again = read(path)
    assert again == shop.document
    assert tuple(item.name for item in again.items) == NAMES
    assert again.own_times() == {"fuse": 7}
    assert [(s.x_m, s.thread, s.screw_m) for s in again.library.studs] == [
        (0.01, "M4", None),
        (0.09, "M5", 0.016),
    ]


def test_every_change_is_taken_back_and_made_again_across_restarts(place: Place) -> None:
    path, _ = new_store(place)
    with Store(path) as store:
        before = filled(store).open().document
    edits = (
        SetField(table="items", id="i2", field="price", value=None),
        MoveRecord(table="items", id="i1", index=3),
        RemoveRecord(table="items", id="i3"),
        SetField(table="times", id="fuse", field="value", value=None),
        SetField(table="footprints", id="f1", field="mass_kg", value=3),
        RemoveRecord(table="studs", id="u1"),
        replaced_items(before, before.items[2:]),
        replaced_library(before, Build()),
    )
    states = [before]
    for edit in edits:
        with Store(path) as store:
            states.append(store.shop().change(lambda now, edit=edit: edit).document)  # type: ignore[misc]
        assert read(path) == states[-1]
    for expected in reversed(states[:-1]):
        with Store(path) as store:
            shop = store.shop()
            done = shop.undo()
            assert done is not None
        assert read(path) == expected
    for expected in states[1:]:
        with Store(path) as store:
            shop = store.shop()
            assert shop.redo() is not None
        assert read(path) == expected
    with Store(path) as store:
        shop = store.shop()
        assert shop.redo() is None


def test_rows_stay_in_order_whatever_is_put_between(place: Place) -> None:
    path, _ = new_store(place)
    with Store(path) as store:
        shop = filled(store)
        shop.change(lambda now: add_item(now, "i1", name="Second"))
        shop.change(lambda now: RemoveRecord(table="items", id="i2"))
        shop.change(lambda now: add_item(now, name="Last"))
    assert [item.name for item in read(path).items] == [
        "Ferrules",
        "Second",
        "[/red]",
        "🔊 低音",
        "Last",
    ]


def test_two_sessions_change_the_shop_and_nothing_is_lost(place: Place) -> None:
    path, _ = new_store(place)
    with Store(path) as one, Store(path) as other:
        first, second = filled(one), other.shop()
        old = second.open().revision
        first.change(lambda now: SetField(table="items", id="i1", field="price", value="9"))
        made = second.change(lambda now: SetField(table="items", id="i2", field="price", value="8"))
        assert made.revision == old + 2
        assert [str(item.price) for item in made.document.items[:2]] == ["9", "8"]
        assert first.open().document == made.document
        first.change(lambda now: RemoveRecord(table="items", id="i1"))
        with pytest.raises(EditRefused, match="there is no item 1"):
            second.change(lambda now: SetField(table="items", id="i1", field="price", value="1"))
    assert [item.id for item in read(path).items] == ["i2", "i3", "i4"]


def test_the_command_line_and_the_screen_share_one_journal(place: Place) -> None:
    path, _ = new_store(place)
    with Store(path) as store:
        shop = filled(store)
        before = shop.open().document
        Stocking(store).replace_all(before.items[:1])
        Stocking(store).replace_times({})
        for _ in range(2):
            shop.undo()
        assert shop.open().document == before


def test_bad_changes_are_refused_whole(place: Place) -> None:
    path, _ = new_store(place)
    with Store(path) as store:
        shop = filled(store)
        before = shop.open()
        again = AddRecord(table="items", record={"id": "i9", "name": NAMES[0], "group": "Wire"})
        for edit, said in (
            (again, "'Ferrules' in the shop already"),
            (SetField(table="items", id="i1", field="name", value="  "), "name"),
            (SetField(table="items", id="i1", field="pack", value=0), "pack"),
            (SetField(table="items", id="i1", field="id", value=7), "id never changes"),
            (SetField(table="items", id="i77", field="pack", value=1), "no item 77"),
            (SetField(table="times", id="fuse", field="value", value=-1), "from 0 to"),
            (SetField(table="times", id="weld", field="value", value=1), "no operation"),
            (SetField(table="footprints", id="f1", field="name", value=" "), "needs a name"),
            (RemoveRecord(table="footprints", id="f1"), "still used"),
            (SetField(table="runs", id="r1", field="name", value=""), "no table 'runs'"),
            (Batch(edits=(RemoveRecord(table="items", id="i1"), again, again)), "already"),
        ):
            with pytest.raises(EditRefused, match=said):
                shop.change(lambda now, edit=edit: edit)  # type: ignore[misc]
            assert shop.open() == before
    assert read(path) == before.document


@pytest.mark.parametrize(
    ("damage", "named", "mend"),
    [
        (
            "UPDATE catalogue SET pack = -1 WHERE id = 'i2'",
            "catalogue is damaged in item 2",
            "items",
        ),
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
        whole = filled(store).open().document
    with closing(sqlite3.connect(path)) as file, file:
        file.execute(damage)
    with Store(path) as store:
        shop = store.shop()
        with pytest.raises(StoreError, match=named):
            shop.open()
        with pytest.raises(StoreError, match=named):
            shop.change(add_item)
        if mend == "items":
            shop.change(lambda now: replaced_items(now, whole.items), ("items",))
        else:
            shop.change(lambda now: replaced_library(now, whole.library), ("footprints", "studs"))
        mended = store.shop().open().document
    assert [item.name for item in mended.items] == list(NAMES)
    assert mended.library.footprints[0].name == "Small amplifier"
    assert len(mended.library.studs) == 2


def test_ids_of_items_stay_when_a_file_is_taken() -> None:
    known = CatalogueItem(id="i4", name="A", group="Wire")
    taken = [CatalogueItem(name="B", group="Wire"), CatalogueItem(name="A", group="Wire")]
    edit = replaced_items(Shop(items=(known,)), taken)
    assert [record["id"] for record in edit.tables["items"]] == ["i5", "i4"]


def test_a_library_takes_a_builds_ids_as_its_own() -> None:
    build = applied(Build(), add(Build(), "footprints", name="One"))
    shop = Shop(footprints=build.footprints)
    other = applied(Build(), add(Build(), "footprints", name="Two"))
    other = applied(other, add(other, "footprints", name="One"), add(other, "studs"))
    edit = replaced_library(shop, other)
    assert [(r["id"], r["name"]) for r in edit.tables["footprints"]] == [
        ("f2", "Two"),
        ("f1", "One"),
    ]
