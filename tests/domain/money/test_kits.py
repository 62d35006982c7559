"""A kit on the bill of a build: counted once, priced to the cent, and off again.

Expected values: by hand, by exact fractions (a second method beside decimals), or conservation:
what a kit adds to bill, packs and quote is what it holds, and nothing else changes.
"""

from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from demo_db.load import demo_builds
from domain.build import actions
from domain.build.edits import AddRecord, EditRefused, SetField, apply
from domain.build.record_kinds.extra_records import PackUnit
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.materials.takeoff import is_extra
from domain.money.kits import beyond, filled_kits, kit_price, parts_of, price_of, put_on
from domain.money.matching import match, shelf_use, taken
from domain.money.quote_text import quote_text
from domain.money.shopping import shopping
from domain.shop.catalogue import CatalogueItem
from domain.shop.shop import Shop

TIES = CatalogueItem(id="i1", name="Ties", group="Clamps", pack=100, price=Decimal("4.99"))
WIRE = CatalogueItem(
    id="i2", name="Red 4", group="Wire", pack=25, unit=PackUnit("ft"), price=Decimal("12.50")
)
FUSE = CatalogueItem(id="i3", name="Spare fuses", group="Fuses", pack=5, price=Decimal("7.00"))
PAINT = CatalogueItem(id="i4", name="Paint", group="Consumables", unit=PackUnit("m2"), pack=2)


def shop_of(*parts: tuple[CatalogueItem, float]) -> Shop:
    """A shop with these items, all in one kit."""
    return Shop.of(
        {
            "items": [item for item, _ in parts],
            "kits": [{"id": "q1", "name": "Amp kit"}, {"id": "q2", "name": "Empty"}],
            "kit_parts": [
                {"id": f"y{place}", "kit": "q1", "item": item.id, "count": count}
                for place, (item, count) in enumerate(parts, 1)
            ],
        }
    )


SHOP = shop_of((TIES, 40), (WIRE, 7.5), (FUSE, 4))


def test_a_kit_is_worth_what_it_holds() -> None:
    # by hand: 40 of 100 at 4.99 are 1.996, 7.5 of 25 ft at 12.50 are 3.75, 4 of 5 at 7 are 5.60
    assert [price_of(item, count) for item, count in parts_of(SHOP, "q1")] == [
        Decimal("2.00"),
        Decimal("3.75"),
        Decimal("5.60"),
    ]
    assert kit_price(SHOP, "q1") == Decimal("11.35")
    assert kit_price(SHOP, "q2") is None
    assert kit_price(shop_of((TIES, 1), (PAINT, 1)), "q1") is None  # one has no price
    assert filled_kits(SHOP) == ("q1",)


@settings(max_examples=60, deadline=None)
@given(
    st.decimals(0, 9999, places=2), st.integers(1, 99_999), st.sampled_from((1, 3, 7, 7.62, 12.5))
)
def test_prices_are_exact_to_the_cent(price: Decimal, hundredths: int, pack: float) -> None:
    count = hundredths / 100
    item = CatalogueItem(
        id="i1", name="A", group="Wire", unit=PackUnit("m"), pack=pack, price=price
    )
    worth = Fraction(price) * Fraction(hundredths, 100) / Fraction(str(pack))
    rounded = Decimal(worth.numerator * 10**12 // worth.denominator) / 10**12
    found = price_of(item, count)
    assert found is not None
    assert abs(Fraction(found) - worth) <= Fraction(1, 200)
    assert found == rounded.quantize(Decimal("0.01"), ROUND_HALF_UP)


def priced(build: Build) -> Build:
    header = {"labour_price": 60.0, "markup_ratio": 1.25, "tax_percent": 0.0}
    for field, value in header.items():
        build, _ = apply(build, SetField(table="header", field=field, value=value))
    return build


@pytest.mark.parametrize("build", [b for _, b in demo_builds()], ids=[n for n, _ in demo_builds()])
def test_bill_packs_and_quote_grow_by_the_kit_alone(build: Build) -> None:
    build = priced(build)
    after, back = apply(build, put_on(build, SHOP, "q1"))
    assert apply(after, back)[0] == build
    before, now = evaluate(build), evaluate(after)
    assert replace(now, materials=()) == replace(before, materials=())  # nothing else follows
    added = [line for line in now.materials if line not in before.materials]
    assert [line for line in now.materials if line in before.materials] == list(before.materials)
    # by hand: 7.5 ft are 2.286 m; no spares on fuses that are counted by hand
    assert sorted((line.item, line.quantity, line.unit) for line in added) == [
        ("Red 4", pytest.approx(2.286), "m"),
        ("Spare fuses", 4, "each"),
        ("Ties", 40, "each"),
    ]
    assert all(is_extra(line) for line in added)
    assert {line.note for line in added} == {"of the kit Amp kit"}
    # These items serve the kit's lines by their names, and none of the plan's.
    items = [item.but(item_rule="nothing else") for item in SHOP.items]
    bought = shopping(after, now, items, quick=True)
    by_item = {buy.item.name: (buy.packs, buy.price) for buy in bought.to_buy}
    assert by_item == {
        "Ties": (1, Decimal("4.99")),
        "Red 4": (1, Decimal("12.50")),
        "Spare fuses": (1, Decimal("7.00")),
    }
    # by hand, with a mark-up of a quarter: 2.495, 4.6875 and 7.00 are 2.50, 4.69 and 7.00
    plain = shopping(build, before, items, quick=True)
    assert plain.estimate.materials is None
    assert bought.estimate.materials == Decimal("14.19")
    assert bought.estimate.hours == plain.estimate.hours
    assert bought.estimate.labour == plain.estimate.labour
    text = quote_text(after, now, bought.estimate, "2026-01-01")
    for name in ("Ties", "Red 4", "Spare fuses"):
        assert name in text
    assert "Amp kit" not in text  # what the shop calls it is nothing to the customer


def test_what_is_in_stock_is_used_first() -> None:
    build = start_build()
    build, _ = apply(build, put_on(build, SHOP, "q1"))
    items = [TIES.but(on_shelf=30), WIRE.but(on_shelf=10)]
    matched = match(evaluate(build).materials, items)
    extra = {each.line.item: each for each in matched if is_extra(each.line)}
    assert extra["Ties"].from_shelf == 30
    assert extra["Ties"].why == "its own name"
    assert extra["Red 4"].buys == ()
    assert extra["Spare fuses"].item is None
    assert shelf_use(matched) == {"i1": 30, "i2": pytest.approx(7.5)}


def test_only_what_the_plan_does_not_list_goes_on_where_that_is_wanted() -> None:
    # by hand: 25 of 40 ties and 3 of 7.5 ft are there; all four fuses, and two beyond, too
    there = {"i1": 25.0, "i2": 3.0, "i3": 6.0, "i9": 1.0}
    assert beyond(parts_of(SHOP, "q1"), there) == [(TIES, 15), (WIRE, 4.5)]
    # by hand: what is there is counted once, also where an item stands in a kit twice
    assert beyond([(TIES, 10), (TIES, 20)], {"i1": 15}) == [(TIES, 15)]
    # by hand: 7.5 - 1.2344 = 6.2656, upwards to hundredths; a part of a thing is one of it
    assert beyond([(WIRE, 7.5), (TIES, 2)], {"i2": 1.2344, "i1": 0.5}) == [(WIRE, 6.27), (TIES, 2)]
    build, _ = apply(Build(), put_on(Build(), SHOP, "q1", [(WIRE, 4.5)]))
    assert [(extra.name, extra.quantity, extra.kit) for extra in build.extras] == [
        ("Red 4", 4.5, "Amp kit")
    ]


def test_what_the_plan_takes_of_an_item_is_counted_in_its_unit() -> None:
    # by hand: any wire serves all of the plan's; its metres at 0.3048 to the foot
    _, build = demo_builds()[0]
    build, _ = apply(build, put_on(build, SHOP, "q1"))
    any_wire = WIRE.but(name="Any", id="i9")
    lines = match(evaluate(build).materials, [any_wire, WIRE.but(size_rule="x")])
    metres = sum(line.needed for line in evaluate(build).materials if line.group == "Wire")
    assert taken(lines) == {"i9": pytest.approx((metres - 7.5 * 0.3048) / 0.3048)}


def test_an_empty_kit_and_wrong_extras_are_refused() -> None:
    with pytest.raises(EditRefused, match="nothing in the kit Empty"):
        put_on(Build(), SHOP, "q2")
    for field, value, why in (
        ("quantity", -1.0, "greater than 0"),
        ("quantity", 0.0, "greater than 0"),
        ("quantity", 2.5, "a whole number"),
        ("unit", "yard", "unit"),
        ("group", "Amplifiers", "must be one of"),
    ):
        record = {"id": "q1", "name": "Tape", field: value}
        with pytest.raises(EditRefused, match=why):
            apply(Build(), AddRecord(table="extras", record=record))


def test_a_line_added_by_hand_stands_beside_the_plans() -> None:
    build = start_build()
    build, _ = apply(build, actions.add(build, "extras"))
    build, _ = apply(build, SetField(table="extras", id="q1", field="name", value="Tape"))
    build, _ = apply(build, actions.duplicate(build, "extras", "q1"))
    found = [line for line in evaluate(build).materials if is_extra(line)]
    assert [(line.item, line.quantity, line.note) for line in found] == [
        ("Tape", 1, "added by hand"),
        ("Tape 2", 1, "added by hand"),
    ]
