"""An entry is taken at once only where the model, which understands more, takes it as it stands."""

import json
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import convert

from domain.build.records import TABLES, Battery, Build, Header, Run, Zone
from domain.document.declared import BadEntry, declared
from domain.document.entry import Entry, taken
from domain.document.models import entry_of, model_of, value_of
from domain.shop.catalogue import CatalogueItem
from domain.shop.shop import Shop
from domain.shop.times import OwnTime

KINDS: list[type[Entry]] = [
    Header,
    *TABLES.values(),
    *(kind for table, kind in Shop.TABLES.items() if table not in TABLES),
]
FIELDS = [(kind, name) for kind in KINDS for name in declared(kind)]

ODD: tuple[Any, ...] = (
    *(None, True, False, 0, 1, 2, 3.5, -1, 40, 1e-9, 999.0, 1e9, float("inf"), float("nan")),
    *("", " ", "x", " x ", "\x1b[1m", "é", "\u202e", "12", "0.5", "true", "null", "\ud800"),
    *(
        "a" * 61,
        "a" * 501,
        "r1",
        "r1\n",
        "R1",
        "r",
        "AWG 4",
        "AWG 4\n",
        "AWG 99",
        "0 mm2",
        "35 mm2",
    ),
    *("each", "m", "Fuses", "fuses", "AGM", "positive", "music", "quarter_hour", "seat"),
    *(Decimal("1.25"), Decimal("1.23456"), Decimal("NaN"), "1e3", 10**400, "12.50", [], {}, ()),
)
"""Values of all kinds, right in some fields and wrong in others."""


def at_once(kind: type[Entry], values: dict[str, Any]) -> Entry | None:
    """The entry, if it is taken as it stands."""
    try:
        found = convert(values, kind)
    except (ValueError, OverflowError):
        return None
    return found if found.right() else None


def by_model(kind: type[Entry], values: dict[str, Any]) -> Entry | None:
    try:
        return entry_of(kind, values)
    except BadEntry:
        return None


def least(kind: type[Entry]) -> dict[str, Any]:
    """What must be given."""
    given = {"id": next(iter(_names())) if kind is OwnTime else "r1"} if kind is not Header else {}
    return given | ({"name": "Wire", "group": "Wire"} if kind is CatalogueItem else {})


def _names() -> list[str]:
    return [time.id for time in Shop().times]


@pytest.mark.parametrize(
    ("kind", "field"), FIELDS, ids=lambda each: getattr(each, "__name__", each)
)
def test_what_is_taken_at_once_is_what_the_model_takes(kind: type[Entry], field: str) -> None:
    # pydantic, a general-purpose library, decides for itself: it has types and limits alone
    for value in ODD:
        values = least(kind) | {field: value}
        fast, slow = at_once(kind, values), by_model(kind, values)
        if fast is not None:
            assert fast == slow, value
            assert [type(each) for each in fast.plain().values()] == [
                type(each) for each in slow.plain().values()
            ], value
        elif slow is not None:
            # only what is not right as it stands needs the model
            assert slow.plain()[field] != value or type(slow.plain()[field]) is not type(value)


@pytest.mark.parametrize(
    ("kind", "field"), FIELDS, ids=lambda each: getattr(each, "__name__", each)
)
def test_one_value_is_taken_as_in_its_entry(kind: type[Entry], field: str) -> None:
    for value in ODD:
        try:
            alone = taken(kind, field, value)
        except BadEntry:
            with pytest.raises(BadEntry):
                value_of(kind, field, value)
            continue
        assert alone == value_of(kind, field, value)
        whole = by_model(kind, least(kind) | {field: value})
        if whole is not None:  # what several fields say together is no matter of one value
            assert getattr(whole, field) == alone


@given(st.dictionaries(st.sampled_from(Battery.__struct_fields__), st.sampled_from(ODD)))
def test_several_fields_at_once(values: dict[str, Any]) -> None:
    fast = at_once(Battery, values)
    assert fast is None or fast == by_model(Battery, values)


def test_defaults_are_right() -> None:
    for kind in KINDS:
        assert at_once(kind, least(kind)) == by_model(kind, least(kind)) != None  # noqa: E711


def test_a_whole_document() -> None:
    for kind in (Build, Shop):
        assert model_of(kind).model_validate({})
        assert kind.of({}) == kind()
    build = Build.of({"zones": [{"id": "z1", "name": "Trunk"}], "runs": [Run(id="r1", zone="z1")]})
    assert build == Build(zones=(Zone(id="z1", name="Trunk"),), runs=(Run(id="r1", zone="z1"),))
    for wrong in ({"runs": [Run(id="r1", zone="z1")]}, {"zones": [Zone(id="z1"), Zone(id="z1")]}):
        with pytest.raises(BadEntry, match="z1"):
            Build.of(wrong)


def test_entries_that_the_program_made_are_checked_where_they_go_into_a_document() -> None:
    build = Build.of({"header": Header(title="\x1b[1mboo"), "zones": (Zone(id="z1", name="\n"),)})
    assert (build.header.title, build.zones[0].name) == ("\u241b[1mboo", "\u240a")
    with pytest.raises(BadEntry, match="ambient_c"):
        Build.of({"zones": (Zone(id="z1", ambient_c=1e6),)})


def test_a_document_goes_out_as_json_and_comes_back() -> None:
    item = CatalogueItem(id="i1", name="Wire", group="Wire", price=Decimal("1E+1"))
    shop = Shop(items=(item,))
    text = json.dumps(shop.plain())
    assert '"price": "10"' in text
    assert Shop.of(json.loads(text)) == shop


def test_what_is_wrong_is_told_in_a_sentence() -> None:
    with pytest.raises(BadEntry) as refused:
        Battery.of({"id": "b1", "capacity_ah": -1, "colour": "red"})
    assert str(refused.value) == (
        "capacity_ah: input should be greater than or equal to 0.1 (given -1); "
        "colour: extra inputs are not permitted (given 'red')"
    )
    assert [each["loc"] for each in refused.value.details] == [("capacity_ah",), ("colour",)]
    with pytest.raises(BadEntry, match="whole number"):
        CatalogueItem.of({"name": "Fuse", "group": "Fuses", "pack": 2.5})


def test_a_field_is_set_checked() -> None:
    battery = Battery(id="b1")
    assert battery.set("capacity_ah", "80").capacity_ah == 80.0
    assert battery.set("capacity_ah", 80) == battery.but(capacity_ah=80.0)
    with pytest.raises(BadEntry, match="capacity_ah"):
        battery.set("capacity_ah", float("nan"))
