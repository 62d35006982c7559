"""Kits of the shop: what may be in one, and their CSV file.

Expected values: by definition of a kit (a set of the shop's items under one name), or
conservation (an edit and its inverse, a file and its reading, leave what was there).
"""

from collections.abc import Iterable
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.build.edits import AddRecord, Batch, Edit, EditRefused, RemoveRecord, SetField, apply
from domain.build.record_kinds.extra_records import PackUnit
from domain.csv_cells import CsvRefused
from domain.shop.catalogue import CatalogueItem
from domain.shop.csv_files import FILES
from domain.shop.kit_actions import add_kit, add_kit_part, copy_kit, kits_with, without
from domain.shop.kits_csv import COLUMNS
from domain.shop.shop import KIT_PARTS, KITS, Shop
from domain.shop.shop_actions import dropped_by, replaced_items

ITEMS = (
    CatalogueItem(id="i1", name="Ties", group="Clamps", pack=100, price=Decimal("4.99")),
    CatalogueItem(
        id="i2", name="Red 4", group="Wire", pack=25, unit=PackUnit("ft"), price=Decimal("12.50")
    ),
    CatalogueItem(id="i3", name="=1+1", group="Consumables"),
)


def made(shop: Shop, *edits: Edit) -> Shop:
    for edit in edits:
        shop, _ = apply(shop, edit)
    return shop


def count(id: str, value: float) -> SetField:
    return SetField(table=KIT_PARTS, id=id, field="count", value=value)


def shop_with_kit() -> Shop:
    """One kit, "Amp kit": 40 ties and 7.5 ft of wire."""
    shop = made(Shop(items=ITEMS), add_kit(Shop()))
    shop = made(shop, SetField(table=KITS, id="q1", field="name", value="Amp kit"))
    for _ in range(2):
        shop = made(shop, add_kit_part(shop, "q1"))
    return made(shop, count("y1", 40), count("y2", 7.5))


def held(shop: Shop, kit: str) -> list[tuple[str, float]]:
    return [(part.item, part.count) for part in shop.kit_parts if part.kit == kit]


def test_a_kit_is_filled_with_items_that_it_lacks() -> None:
    shop = shop_with_kit()
    assert held(shop, "q1") == [("i1", 40), ("i2", 7.5)]
    shop = made(shop, add_kit_part(shop, "q1", "y1"))
    assert held(shop, "q1") == [("i1", 40), ("i3", 1), ("i2", 7.5)]
    again = made(shop, add_kit_part(shop, "q1"))  # it has all there are: the first once more
    assert held(again, "q1")[-1] == ("i1", 1)
    with pytest.raises(EditRefused, match="add an item first"):
        add_kit_part(made(Shop(), add_kit(Shop())), "q1")


@pytest.mark.parametrize(
    ("edit", "why"),
    [
        (SetField(table=KITS, id="q2", field="name", value=""), "each kit in the shop needs a"),
        (SetField(table=KITS, id="q2", field="name", value="  "), "each kit in the shop needs a"),
        (
            SetField(table=KITS, id="q2", field="name", value="Amp kit"),
            "a kit 'Amp kit' .* already",
        ),
        (AddRecord(table=KITS, record={"id": "q9", "name": "Amp kit"}), "already"),
        (count("y1", -1), "greater than 0"),
        (count("y1", 0), "greater than 0"),
        (count("y1", 1.5), "Ties is counted: a kit holds a whole number of it, not 1.5"),
        (count("y1", 2e5), "less than or equal to 100000"),
        (SetField(table=KIT_PARTS, id="y1", field="item", value="q2"), "q2"),
        (SetField(table=KIT_PARTS, id="y1", field="item", value="i9"), "i9"),
        (SetField(table=KIT_PARTS, id="y1", field="kit", value="q7"), "q7"),
        (SetField(table="items", id="i2", field="unit", value="each"), "Red 4 is counted"),
        (RemoveRecord(table="items", id="i1"), "i1|Ties"),
        (RemoveRecord(table=KITS, id="q1"), "q1|Amp kit"),
    ],
)
def test_what_no_kit_can_be_is_refused(edit: Edit, why: str) -> None:
    shop = made(shop_with_kit(), add_kit(shop_with_kit()))
    with pytest.raises(EditRefused, match=why):
        apply(shop, edit)


def test_an_item_goes_with_what_kits_hold_of_it_and_comes_back_with_it() -> None:
    shop = shop_with_kit()
    shop = made(shop, copy_kit(shop, "q1"))
    assert [kit.name for kit in shop.kits] == ["Amp kit", "Amp kit 2"]
    assert kits_with(shop, "i1") == ("Amp kit", "Amp kit 2")
    assert kits_with(shop, "i3") == ()
    edits = (*without(shop, "item", "i1"), RemoveRecord(table="items", id="i1"))
    after, back = apply(shop, Batch(edits=edits))
    assert held(after, "q1") == held(after, "q2") == [("i2", 7.5)]
    assert apply(after, back)[0] == shop
    gone, back = apply(
        shop, Batch(edits=(*without(shop, "kit", "q2"), RemoveRecord(table=KITS, id="q2")))
    )
    assert (gone.kits, gone.kit_parts) == (shop.kits[:1], shop.kit_parts[:2])
    assert gone.items == shop.items
    assert apply(gone, back)[0] == shop


def test_a_file_of_items_that_leaves_one_out_takes_it_out_of_the_kits() -> None:
    shop = shop_with_kit()
    edit = replaced_items(shop, [ITEMS[1], CatalogueItem(name="New", group="Wire")])
    assert dropped_by(shop, edit) == ["Ties", "=1+1"]
    after, back = apply(shop, edit)
    assert held(after, "q1") == [("i2", 7.5)]
    assert apply(after, back)[0] == shop


@st.composite
def shops(draw: st.DrawFn) -> Shop:
    """Shops with any kits, named as people and attackers name things."""
    shop = Shop(items=ITEMS)
    names = draw(
        st.lists(st.sampled_from(["A", "=1", "[/b]", "🔊 低", "a;b", 'q"', "-A"]), unique=True)
    )
    for place, name in enumerate(names, 1):
        shop = made(shop, AddRecord(table=KITS, record={"id": f"q{place}", "name": name}))
        for item in draw(st.lists(st.sampled_from(["i1", "i2", "i3"]), unique=True)):
            number = draw(st.integers(1, 100_000))
            shop = made(
                shop,
                AddRecord(
                    table=KIT_PARTS,
                    record={
                        "id": f"y{len(shop.kit_parts) + 1}",
                        "kit": f"q{place}",
                        "item": item,
                        "count": number / 8 if item == "i2" else number,
                    },
                ),
            )
    return shop


@settings(max_examples=40, deadline=None)
@given(shops())
def test_a_file_of_kits_brings_them_back(shop: Shop) -> None:
    file = FILES["kits"]
    text = file.write(shop)
    assert not [line for line in text.splitlines() if line[:1] in tuple("=+-@")]
    for there in (shop, Shop(items=ITEMS)):
        again = made(there, file.read(text).taking(there))
        assert [kit.name for kit in again.kits] == [kit.name for kit in shop.kits]
        for kit, same in zip(shop.kits, again.kits, strict=True):
            assert held(again, same.id) == held(shop, kit.id)
    assert made(shop, file.read(text).taking(shop)).kits == shop.kits  # known names keep their ids


def lines(*rows: str) -> str:
    return "\n".join((",".join(COLUMNS), *rows)) + "\n"


@pytest.mark.parametrize(
    ("rows", "why"),
    [
        (["Amp kit,Ties,-2"], "line 2: quantity: '-2' is no number"),
        (["Amp kit,Ties,0"], "line 2: quantity: must be above 0"),
        (["Amp kit,Ties,100001"], "line 2: quantity: must be above 0 and at most 100000"),
        (["Amp kit,Ties,many"], "no number"),
        ([",Ties,2"], "line 2: kit: a name is missing"),
        (["Amp kit,,2", "Amp kit,Ties,x"], "line 2: item: a name is missing; line 3: quantity"),
        (["Amp kit,Ties"], "2 cells under 3 columns"),
    ],
)
def test_bad_lines_of_a_file_are_named_and_nothing_is_taken(rows: Iterable[str], why: str) -> None:
    with pytest.raises(CsvRefused, match=why):
        FILES["kits"].read(lines(*rows))


def test_a_file_names_items_of_the_shop_and_no_kits() -> None:
    shop = shop_with_kit()
    other = FILES["kits"].read(lines("Big kit,Amp kit,1", "Big kit,Ties,2"))
    with pytest.raises(EditRefused, match="the shop has no item 'Amp kit'"):
        other.taking(shop)
    half = FILES["kits"].read(lines("Amp kit,Ties,2.5"))
    with pytest.raises(EditRefused, match="a whole number"):
        apply(shop, half.taking(shop))
    fewer = FILES["kits"].read(lines("Other,,"))
    assert dropped_by(shop, fewer.taking(shop)) == ["Amp kit"]
    assert fewer.said == "the shop holds 1 kit"
