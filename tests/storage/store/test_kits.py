"""Kits and extra materials in the store: saved, taken back across restarts, and in build files.

Expected values: conservation, what was put in comes out again.
"""

from domain.build.edits import Batch, RemoveRecord, SetField
from domain.build.start import start_build
from domain.money.kits import put_on
from domain.shop.kit_actions import add_kit, add_kit_part, without
from domain.shop.shop import KIT_PARTS, KITS, Shop
from domain.shop.shop_actions import add_item
from storage.store.builds import Store
from storage.store.location import Place
from storage.transfer import export_build, import_build
from tests.storage.store.builds import new_store


def filled(store: Store) -> Shop:
    """A shop with two items, in a kit that holds both."""
    shop = store.shop()
    shop.change(lambda now: add_item(now, name="=Ties", price="4.99", pack=100, group="Clamps"))
    shop.change(lambda now: add_item(now, name="Red 4", price="12.50", unit="ft", pack=25))
    shop.change(add_kit)
    shop.change(lambda now: SetField(table=KITS, id="q1", field="name", value="[/b] 低音"))
    shop.change(lambda now: add_kit_part(now, "q1"))
    shop.change(lambda now: add_kit_part(now, "q1"))
    count = SetField(table=KIT_PARTS, id="y2", field="count", value=7.5)
    return shop.change(lambda now: count).document


def test_kits_are_kept_and_taken_back_across_restarts(place: Place) -> None:
    path, _ = new_store(place)
    with Store(path) as store:
        before = filled(store)
        gone = Batch(
            edits=(*without(before, "item", "i2"), RemoveRecord(table="items", id="i2")),
            label="remove Red 4",
        )
        after = store.shop().change(lambda now: gone).document
    assert (len(after.items), len(after.kit_parts)) == (1, 1)
    with Store(path) as store:
        shop = store.shop()
        assert shop.open().document == after
        shop.undo()
        assert shop.open().document == before
        shop.redo()
        assert shop.open().document == after
        for _ in range(8):
            shop.undo()
        assert shop.open().document == Shop()
        for _ in range(7):
            shop.redo()
    with Store(path) as store:
        assert store.shop().open().document == before
        # table by table, as they are stored: (id, kit, item, count)
        parts = [(p.id, p.kit, p.item, p.count) for p in before.kit_parts]
        assert parts == [("y1", "q1", "i1", 1.0), ("y2", "q1", "i2", 7.5)]


def test_a_kit_on_a_build_is_saved_undone_copied_exported_and_imported(place: Place) -> None:
    path, key = new_store(place)
    with Store(path) as store:
        shop = filled(store)
        kept = store.build(key)
        before = kept.open().document
        after = kept.change(lambda build: put_on(build, shop, "q1")).document
        assert [(x.name, x.quantity, x.unit.value, x.kit) for x in after.extras] == [
            ("=Ties", 1, "each", "[/b] 低音"),
            ("Red 4", 7.5, "ft", "[/b] 低音"),
        ]
        assert kept.history()[0].label.startswith("add the kit")
    with Store(path) as store:
        assert store.open(key).document == after
        assert import_build(export_build(after)) == after
        copy = store.duplicate(key, "Again")
        assert store.open(copy).document.extras == after.extras
        kept = store.build(key)
        kept.undo()
        assert kept.open().document == before
        kept.redo()
        assert kept.open().document == after
    # The kit may go; what is on the bill stays, for it is the build's own.
    with Store(path) as store:
        store.shop().change(
            lambda now: Batch(edits=(*without(now, "kit", "q1"), RemoveRecord(table=KITS, id="q1")))
        )
        assert store.open(key).document == after


def test_a_build_from_before_has_no_extras() -> None:
    build = start_build()
    text = export_build(build).replace(',\n  "extras": []', "")
    assert '"extras"' not in text
    assert import_build(text) == build
