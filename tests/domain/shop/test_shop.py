"""The shop's edits and the fields of its items.

Expected values: an edit and its inverse leave what was there; what is shown reads back the same.
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from domain.build.actions import add, applied
from domain.build.choices import UnitHabit
from domain.build.edits import (
    Batch,
    Edit,
    EditRefused,
    MoveRecord,
    RemoveRecord,
    ReplaceTables,
    SetField,
    apply,
)
from domain.build.fields import describe_field, parse_field, show_field
from domain.build.record_kinds.extra_records import PackUnit
from domain.build.records import Build
from domain.build.start import start_build
from domain.document.declared import declared
from domain.document.records import label
from domain.evaluate import evaluate
from domain.money.matching import match, without_price
from domain.shop.catalogue import CatalogueItem
from domain.shop.csv_files import FILES
from domain.shop.shop import ITEMS, Shop
from domain.shop.shop_actions import (
    add_item,
    copy_item,
    dropped_by,
    item_for_line,
    items_for_lines,
    replaced_items,
    replaced_library,
    replaced_times,
)
from domain.shop.times import default_times

FIELDS = [field for field in CatalogueItem.__struct_fields__ if field != "id"]
ITEM = CatalogueItem(
    id="i3",
    name="Red spool",
    group="Wire",
    item_rule="copper wire, red",
    pack=15.5,
    unit=PackUnit("m"),
    price=Decimal("120.00"),
    on_shelf=2,
)


def typed_into(field: str, text: str) -> object:
    """The value of a field of ``ITEM`` after this text was typed, as JSON has it."""
    shop = Shop(items=(ITEM,))
    value = parse_field(shop, ITEMS, field, text)
    after, _ = apply(shop, SetField(table=ITEMS, id=ITEM.id, field=field, value=value))
    return after.items[0].plain()[field]


def filled() -> Shop:
    shop = Shop()
    for name in ("A", "B", "C"):
        shop, _ = apply(shop, add_item(shop, name=name, price="1.10"))
    shop, _ = apply(shop, add(shop.library, "footprints", name="Feet"))
    return apply(shop, add(shop.library, "studs"))[0]


def edit_of(shop: Shop, which: int, row: int, number: float, text: str) -> Edit | None:
    """One of the ways in which a shop changes; ``None`` where there is no row for it."""
    if which == 0:
        return add_item(shop, name=text or "New")
    if which == 1:
        return SetField(table="times", id="fuse", field="value", value=number)
    if which == 2:
        return replaced_times({"amplifier": number})
    if which == 3:
        return replaced_items(shop, shop.items[:1])
    if not shop.items:
        return None
    id = shop.items[row % len(shop.items)].id
    rest: list[Edit] = [
        SetField(table="items", id=id, field="price", value=f"{number:.2f}"),
        SetField(table="items", id=id, field="name", value=text),
        RemoveRecord(table="items", id=id),
        MoveRecord(table="items", id=id, index=row % len(shop.items)),
        copy_item(shop, id),
        SetField(table="footprints", id="f1", field="length_m", value=number),
        SetField(table="studs", id="u1", field="x_m", value=number),
    ]
    return rest[which - 4]


CHANGES = st.lists(
    st.tuples(
        st.integers(0, 10), st.integers(0, 50), st.floats(0.01, 9), st.text("ABCx= 🔊", max_size=4)
    ),
    max_size=12,
)


@given(CHANGES)
def test_inverses_in_turn_lead_back_to_the_shop_as_it_was(
    changes: list[tuple[int, int, float, str]],
) -> None:
    before = shop = filled()
    inverses = []
    for change in changes:
        edit = edit_of(shop, *change)
        if edit is None:
            continue
        try:
            shop, inverse = apply(shop, edit)
        except EditRefused:
            continue
        inverses.append(inverse)
        assert len({item.name for item in shop.items}) == len(shop.items)
    for inverse in reversed(inverses):
        shop, _ = apply(shop, inverse)
    assert shop == before


@pytest.mark.parametrize("field", FIELDS)
def test_what_a_field_shows_reads_back_as_it_was(field: str) -> None:
    shop = Shop(items=(ITEM,))
    value = typed_into(field, show_field(shop, ITEMS, ITEM, field))
    again = CatalogueItem.of({**ITEM.plain(), field: value})
    assert again == ITEM
    assert describe_field(shop, ITEMS, field).startswith(declared(CatalogueItem)[field].about.title)


@pytest.mark.parametrize(
    ("field", "typed", "value"),
    [
        ("price", "12,50", "12.50"),
        ("price", "", None),
        ("price", "-", None),
        ("pack", "7,5", 7.5),
        ("group", "heat", "Heat-shrink"),
        ("unit", "sq", "sq ft"),
        ("unit", "m", "m"),
        ("name", "  Blue  ", "Blue"),
    ],
)
def test_a_field_takes_what_people_type(field: str, typed: str, value: object) -> None:
    assert typed_into(field, typed) == value


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("price", "12.50 dollars", "no number"),
        ("price", "99999999", "less than or equal to 10000000"),
        ("unit", "each", "whole number"),
        ("unit", "f t", "not one of them"),
        ("on_shelf", "1.234,5", "no number"),
        ("name", "x" * 201, "at most 200"),
    ],
)
def test_a_field_refuses_with_what_would_do(field: str, typed: str, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        typed_into(field, typed)


def test_files_of_each_kind_come_back_and_say_what_they_drop() -> None:
    shop = filled()
    shop, _ = apply(shop, SetField(table="times", id="fuse", field="value", value=7))
    for kind, file in FILES.items():
        edit = file.read(file.write(shop)).taking(shop)
        assert set(edit.tables) == set(file.tables)
        again, _ = apply(shop, edit)
        assert (again.items, again.library) == (shop.items, shop.library), kind
        assert again.own_times()["fuse"] == 7
    empty = FILES["items"].read(FILES["items"].write(Shop())).taking(shop)
    assert dropped_by(shop, empty) == ["A", "B", "C"]
    assert label(shop, "i2") == "B"


@pytest.mark.parametrize("units", UnitHabit)
def test_the_item_made_for_a_line_serves_it_and_no_other(units: UnitHabit) -> None:
    build = start_build(units=units)
    build = applied(build, add(build, "amplifiers"), add(build, "parts"))
    lines = evaluate(build).materials
    shop = Shop()
    for line in lines:
        shop, _ = apply(shop, item_for_line(shop, line, units))
    matched = match(lines, shop.items)
    assert [each.item.id if each.item else "" for each in matched] == [i.id for i in shop.items]
    at_once, back = apply(Shop(), items_for_lines(Shop(), (*lines, lines[0]), units))
    assert at_once == shop
    assert apply(at_once, back)[0] == Shop()
    assert without_price(matched) == tuple(item.id for item in shop.items)
    more, _ = apply(at_once, items_for_lines(at_once, lines[:2], units))
    assert len({item.name for item in more.items}) == len({i.id for i in more.items})
    long = replace(lines[0], item="wire " * 38)
    assert len(item_for_line(shop, long, units).edits) == 1


def test_whole_tables_of_a_build_are_replaced_with_their_references() -> None:
    library = filled().library
    stray = ReplaceTables(tables={"footprints": ()})
    with pytest.raises(EditRefused, match="names f1, which is not there"):
        apply(library, stray)
    with pytest.raises(EditRefused, match="no table 'items'"):
        apply(library, ReplaceTables(tables={"items": ()}))
    after, inverse = apply(library, ReplaceTables(tables={"footprints": (), "studs": ()}))
    assert not after.footprints
    assert apply(after, inverse)[0] == library


def test_names_are_what_items_and_footprints_are_found_by() -> None:
    # by definition: no name is empty, none is there twice, in the items or in the library
    shop = filled()
    for table, id, there in (("items", "i2", "A"), ("footprints", "f2", "Feet")):
        if table == "footprints":
            shop, _ = apply(shop, add(shop.library, "footprints", name="Other"))
        for name, why in ((there, "already"), ("  ", "needs a name|at least 1 character")):
            with pytest.raises(EditRefused, match=why):
                apply(shop, SetField(table=table, id=id, field="name", value=name))
        after, _ = apply(shop, SetField(table=table, id=id, field="name", value="Z"))
        assert label(after, id) == "Z"


def test_a_wrong_name_is_not_hidden_by_another_change() -> None:
    # by definition of one edit: all of it is taken, or none
    shop = filled()
    both = Batch(
        edits=(
            SetField(table="items", id="i2", field="name", value="A"),
            SetField(table="footprints", id="f1", field="name", value="Z"),
        )
    )
    with pytest.raises(EditRefused, match="already"):
        apply(shop, both)


def test_an_operation_is_called_by_its_title_and_falls_back_on_its_default() -> None:
    shop, default = Shop(), {time.name: time for time in default_times()}
    assert [time.id for time in shop.times] == list(default)
    for time in shop.times:
        assert label(shop, time.id) == default[time.id].title
        assert shop.default_of(time, "value") == default[time.id].value
        assert shop.default_of(time, "id") is None
    own, _ = apply(shop, SetField(table="times", id="fuse", field="value", value=7.0))
    assert own.own_times() == {"fuse": 7.0}
    with pytest.raises(EditRefused, match="operations stay"):
        apply(shop, RemoveRecord(table="times", id="fuse"))
    for table, id, why in (
        ("items", "i9", "no item 9 in the catalogue"),
        ("times", "polish", "no operation 'polish': it must be one of"),
        ("footprints", "f9", "f9"),
    ):
        assert why in shop.not_there(table, id)
    assert "operation" not in shop.not_there("footprints", "f9")


def test_a_copy_stands_behind_its_item_with_nothing_on_the_shelf() -> None:
    shop = Shop(items=(ITEM, CatalogueItem(id="i4", name="Last", group="Wire")))
    after, _ = apply(shop, copy_item(shop, "i3"))
    assert [item.id for item in after.items] == ["i3", "i5", "i4"]
    one, two = after.items[:2]
    assert (one.on_shelf, two.on_shelf) == (2, 0)
    assert two.name != one.name
    kept = {"id": one.id, "name": one.name, "on_shelf": one.on_shelf}
    assert two.but(**kept) == one


def test_a_library_put_in_its_place_keeps_the_ids_of_known_names() -> None:
    # by hand: "Feet" is there as f1, "New" is not, and takes the next id; the studs follow
    shop = filled()
    library = Build.of(
        {
            "footprints": [
                {"id": "f1", "name": "New", "device": ""},
                {"id": "f2", "name": "Feet", "length_m": 0.2},
            ],
            "studs": [{"id": "u1", "footprint": "f1"}, {"id": "u2", "footprint": "f2"}],
        }
    )
    edit = replaced_library(shop, library)
    assert dropped_by(shop, edit) == []
    after, _ = apply(shop, edit)
    assert [(each.id, each.name) for each in after.footprints] == [("f2", "New"), ("f1", "Feet")]
    assert [(stud.id, stud.footprint) for stud in after.studs] == [("u1", "f2"), ("u2", "f1")]
    empty = replaced_library(shop, Build())
    assert dropped_by(shop, empty) == ["Feet"]
    assert dropped_by(shop, replaced_items(shop, shop.items[1:])) == ["A"]
