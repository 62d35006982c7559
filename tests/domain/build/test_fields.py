"""The schema of the fields: every field of every record can be shown, described and typed.

Limits are those that the records declare; conversions are exact by definition (NIST SP 811).
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.build.actions import add
from domain.build.choices import UnitHabit
from domain.build.edits import Scalar, SetField, apply
from domain.build.fields import (
    choices,
    describe_field,
    kind_of,
    parse_field,
    parse_power,
    show_field,
    show_power,
    title,
)
from domain.build.records import (
    TABLES,
    Alternator,
    Amplifier,
    Battery,
    Build,
    Header,
    Hole,
    Panel,
    Run,
)
from domain.build.schema import schema_of
from domain.build.start import start_build
from domain.document.entry import Entry
from domain.document.records import records
from domain.units.parse import KINDS, UnitError, format_quantity, parse_quantity
from tests.domain.electrical.small import small_build

RECORD_TYPES: dict[str, type[Entry]] = {"header": Header, **TABLES}
ALL_FIELDS = [
    (table, field)
    for table, record_type in RECORD_TYPES.items()
    for field in record_type.__struct_fields__
    if field != "id"
]
NUMBERS = [
    (table, field) for table, field in ALL_FIELDS if kind_of(RECORD_TYPES[table], field) in KINDS
]


def full_build(units: UnitHabit = UnitHabit.INCH) -> Build:
    build = start_build(units=units)
    for table in ("amplifiers", "amplifiers", "parts", "panels", "holes"):
        build, _ = apply(build, add(build, table))
    return build


def rows(build: Build, table: str) -> tuple[Entry, ...]:
    return (build.header,) if table == "header" else records(build, table)


INCH = full_build()
METRIC = full_build(UnitHabit.METRIC)


@pytest.mark.parametrize(
    ("record_type", "field", "kind"),
    [
        (Run, "length_m", "length"),
        (Run, "gauge", "gauge"),
        (Run, "metal", "choice"),
        (Run, "fuse_family", "choice"),
        (Run, "fused", "flag"),
        (Alternator, "hot", "flag"),
        (Run, "zone", "reference"),
        (Run, "bundle", "count"),
        (Run, "name", "text"),
        (Run, "colour", "text"),
        (Run, "fuse_a", "current"),
        (Panel, "length_m", "small_length"),
        (Panel, "bend_deg", "angle"),
        (Hole, "x_m", "small_length"),
        (Battery, "capacity_ah", "capacity"),
        (Battery, "resistance_ohm", "resistance"),
        (Amplifier, "efficiency", "fraction"),
        (Amplifier, "channel_w", "power"),
        (Amplifier, "largest_wire", "gauge"),
        (Header, "drop_limit_v", "voltage"),
    ],
)
def test_kind_follows_from_the_declaration(record_type: type, field: str, kind: str) -> None:
    assert kind_of(record_type, field) == kind


@pytest.mark.parametrize("build", [INCH, METRIC], ids=["inch", "metric"])
@pytest.mark.parametrize(("table", "field"), ALL_FIELDS)
def test_what_a_field_shows_can_be_typed_again(build: Build, table: str, field: str) -> None:
    for index, record in enumerate(rows(build, table)):
        shown = show_field(build, table, record, field)
        value = parse_field(build, table, field, shown)
        edit = SetField(table=table, id=getattr(record, "id", ""), field=field, value=value)
        after, _ = apply(build, edit)
        assert show_field(after, table, rows(after, table)[index], field) == shown


@pytest.mark.parametrize(("table", "field"), ALL_FIELDS)
def test_every_field_has_one_line_of_help(table: str, field: str) -> None:
    help_line = describe_field(INCH, table, field)
    assert help_line.startswith(f"{title(table, field)}: ")
    assert help_line.isprintable()


@pytest.mark.parametrize("build", [INCH, METRIC], ids=["inch", "metric"])
@pytest.mark.parametrize(("table", "field"), NUMBERS)
def test_limits_as_shown_are_taken_and_beyond_them_refused(
    build: Build, table: str, field: str
) -> None:
    known = schema_of(RECORD_TYPES[table], field)
    units = build.header.units
    assert known.limits
    for bound, limit in known.limits:
        shown = format_quantity(known.kind, limit, units)
        if bound in ("ge", "le"):
            taken = parse_field(build, table, field, shown)
            assert taken == pytest.approx(parse_quantity(known.kind, shown, units))
        beyond = limit * 1.5 if bound in ("le", "lt") else limit - max(1.0, abs(limit))
        with pytest.raises(UnitError, match="must be"):
            parse_field(build, table, field, format_quantity(known.kind, beyond, units))


@pytest.mark.parametrize(
    ("build", "table", "field", "refused", "least", "taken", "shown"),
    [
        (INCH, "runs", "length_m", "0.0049 in", "at least 0.005 in", "0.005 in", "0.01 in"),
        (METRIC, "runs", "length_m", "0.49 mm", "at least 0.5 mm", "0.5 mm", "0.1 cm"),
        (INCH, "holes", "x_m", "0.49 mil", "at least 0.0005 in", "0.0005", "0.001 in"),
        (METRIC, "holes", "x_m", "-0.049 mm", "at least 0.05 mm", "-0.05", "-0.1 mm"),
    ],
)
def test_a_length_that_would_be_shown_as_none_is_too_small(
    build: Build, table: str, field: str, refused: str, least: str, taken: str, shown: str
) -> None:
    # by hand: half of the last figure that is shown
    with pytest.raises(UnitError, match=f"{field[0]}.* is too small to be shown: {least}"):
        parse_field(build, table, field, refused)
    value = parse_field(build, table, field, taken)
    assert isinstance(value, float)
    assert format_quantity(kind_of(TABLES[table], field), value, build.header.units) == shown


def test_limits_are_said_in_display_units() -> None:
    with pytest.raises(UnitError) as refused:
        parse_field(INCH, "runs", "length_m", "400 ft")
    assert str(refused.value) == (
        "length must be more than 0 and at most 328 ft 1 in; that is 400 ft"
    )
    with pytest.raises(UnitError, match="at least -40 C and at most 200 C"):
        parse_field(METRIC, "zones", "ambient_c", "250")


@pytest.mark.parametrize(
    ("table", "field", "text", "value"),
    [
        ("runs", "length_m", "12 ft", 3.6576),
        ("runs", "length_m", "auto", None),
        ("runs", "length_m", " - ", None),
        ("runs", "length_m", "", None),
        ("runs", "gauge", "2/0 AWG", "AWG 2/0"),
        ("runs", "gauge", "AUTO", None),
        ("runs", "fused", "Y", True),
        ("runs", "fused", "off", False),
        ("runs", "metal", "copper", "copper"),
        ("runs", "metal", "TIN", "tinned copper"),
        ("runs", "insulation", "T9", "90 C"),
        ("runs", "fuse_family", "blade e", "blade E (large)"),
        ("batteries", "chemistry", "l", "LiFePO4"),
        ("runs", "zone", "eng", "z1"),
        ("runs", "zone", "Z2", "z2"),
        ("runs", "zone", "none", ""),
        ("runs", "source", "main block (D1)", "d1"),
        ("amplifiers", "channels", "4", 4),
        ("amplifiers", "efficiency", "85%", 0.85),
        ("header", "title", "  [/red] =1+1 \x1b ", "[/red] =1+1 \u241b"),
        ("header", "notes", "auto", "auto"),
    ],
)
def test_reads_a_field(table: str, field: str, text: str, value: Scalar) -> None:
    parsed = parse_field(INCH, table, field, text)
    assert parsed == value
    assert type(parsed) is type(value)


@pytest.mark.parametrize(
    ("table", "field", "text", "said"),
    [
        ("runs", "metal", "c", "could be copper, copper-clad aluminium"),
        ("runs", "metal", "gold", "metal is one of copper"),
        ("runs", "polarity", "", "nothing was typed"),
        ("runs", "fused", "maybe", "takes yes or no"),
        ("runs", "source", "amp", r"Amp 1 \(a1\), Amp 2 \(a2\)"),
        ("runs", "source", "z1", "not there; there is Starter battery"),
        ("panels", "part", "x", "there is Part 1"),
        ("amplifiers", "channels", "2.5", "whole number"),
        ("amplifiers", "channels", "17", "at least 1 and at most 16"),
        ("amplifiers", "efficiency", "120%", "more than 5% and at most 99%"),
        ("header", "title", "x" * 501, "at most 500 characters, these are 501"),
        ("header", "drop_limit_v", "12 m", "is a length; a voltage is wanted"),
        ("runs", "id", "r9", "never changes"),
        ("runs", "gauge", "35", "write mm2"),
    ],
)
def test_refuses_a_field(table: str, field: str, text: str, said: str) -> None:
    with pytest.raises(UnitError, match=said):
        parse_field(INCH, table, field, text)


def test_records_of_one_name_are_told_apart_by_id() -> None:
    build, _ = apply(INCH, SetField(table="amplifiers", id="a2", field="name", value="Amp 1"))
    shown = dict(choices(build, "runs", "target"))
    assert (shown[""], shown["a1"], shown["a2"]) == ("none", "Amp 1 (a1)", "Amp 1 (a2)")
    for value, text in shown.items():
        assert parse_field(build, "runs", "target", text) == value
    with pytest.raises(UnitError, match=r"could be Amp 1 \(a1\), Amp 1 \(a2\)"):
        parse_field(build, "runs", "target", "amp 1")


def test_a_name_like_another_id_is_never_taken_silently() -> None:
    build, _ = apply(INCH, SetField(table="amplifiers", id="a1", field="name", value="a2"))
    with pytest.raises(UnitError, match=r"a2 \(a1\), Amp 2 \(a2\)"):
        parse_field(build, "runs", "target", "a2")


@pytest.mark.parametrize(("table", "field"), ALL_FIELDS)
def test_every_choice_as_shown_is_read_as_its_value(table: str, field: str) -> None:
    for value, shown in choices(INCH, table, field):
        assert parse_field(INCH, table, field, shown) == value


def test_missing_names_and_fields_are_the_callers_fault() -> None:
    with pytest.raises(KeyError):
        parse_field(INCH, "nowhere", "x", "1")
    with pytest.raises(KeyError):
        title("runs", "nothing")


def test_shown_text_holds_no_control_characters() -> None:
    header = Header(title="\x1b[2Jboo\n", units=UnitHabit.INCH)
    assert show_field(INCH, "header", header, "title") == "\u241b[2Jboo\u240a"


def power(channels: int, watts: float, bass: int = 0, bass_watts: float = 0.0) -> dict[str, Scalar]:
    return {
        "channels": channels,
        "channel_w": watts,
        "sub_channels": bass,
        "sub_channel_w": bass_watts,
    }


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("4x75", power(4, 75)),
        ("4 x 75 W", power(4, 75)),
        ("4×75", power(4, 75)),
        ("4ch x 75", power(4, 75)),
        ("500", power(1, 500)),
        ("1.2k", power(1, 1200)),
        ("1,200", power(1, 1200)),
        ("2x5", power(2, 5)),
        ("4x75+300", power(4, 75, 1, 300)),
        ("4x75 + 1x300 W", power(4, 75, 1, 300)),
        ("2X1.2 kW", power(2, 1200)),
        ("100 W x 4", {"channels": 4, "channel_w": 100, "sub_channels": 0, "sub_channel_w": 0}),
        ("0.1 kW × 2 ch", {"channels": 2, "channel_w": 100, "sub_channels": 0, "sub_channel_w": 0}),
        ("100x4", power(4, 100)),
        ("4x100 + 1x500", power(4, 100, 1, 500)),
        ("4x75+300W*1", {"channels": 4, "channel_w": 75, "sub_channels": 1, "sub_channel_w": 300}),
    ],
)
def test_reads_the_power_cell(text: str, values: dict[str, Scalar]) -> None:
    assert parse_power(text) == values


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1+2+3", "at most two"),
        ("", "nothing was typed"),
        ("+", "empty set"),
        ("4x75+", "empty set"),
        ("4x", "empty set"),
        ("0x75", "channels must be at least 1"),
        ("4x75+9x20", "bass channels must be at least 0 and at most 8"),
        ("4x75 V", "is a voltage"),
        ("100x20", "channels must be at least 1 and at most 16"),
        ("1x30000", "at most 20 kW"),
        ("-5", "'-5' is -5 W, a channel has at least 5 W; power is wanted as 500, 4x75"),
        ("0", "'0' is 0 W, a channel has at least 5 W"),
        ("4x75+0", "'0' is 0 W"),
        ("4.999 W", "at least 5 W; a point parts decimals, a comma thousands"),
        ("1.200", r"'1.200' is 1.2 W, a channel has at least 5 W; a point parts decimals"),
        ("2x1.200+400", "'1.200' is 1.2 W"),
        ("9" * 61, "too many"),
    ],
)
def test_refuses_the_power_cell(text: str, said: str) -> None:
    with pytest.raises(UnitError, match=said):
        parse_power(text)


@given(
    st.integers(1, 16),
    st.integers(500, 2_000_000),
    st.integers(0, 8),
    st.integers(500, 2_000_000),
)
def test_the_power_cell_comes_back(channels: int, cents: int, bass: int, bass_cents: int) -> None:
    amplifier = Amplifier(
        id="a1",
        channels=channels,
        channel_w=cents / 100,
        sub_channels=bass,
        sub_channel_w=bass_cents / 100 if bass else 0,
    )
    assert Amplifier.of({"id": "a1", **parse_power(show_power(amplifier))}) == amplifier


def test_shows_the_power_cell() -> None:
    five = Amplifier(id="a1", channels=4, channel_w=75, sub_channels=1, sub_channel_w=300)
    assert show_power(five) == "4x75+1x300"
    assert show_power(Amplifier(id="a1", channels=1, channel_w=500)) == "1x500"


def test_a_drop_limit_may_be_a_share_and_units_may_be_one_of_them() -> None:
    build = start_build()
    # 3 % of the 13.5 V that wires are chosen at, by multiplication
    assert parse_field(build, "header", "drop_limit_v", "3%") == pytest.approx(0.405)
    assert parse_field(build, "header", "units", "mm") == "metric"
    assert parse_field(build, "header", "units", "in") == "inch"


@pytest.mark.parametrize(
    ("table", "field", "kind", "said"),
    [
        ("batteries", "chemistry", "choice", "type the start of "),
        ("runs", "fused", "flag", "yes or no"),
        ("runs", "gauge", "gauge", "1/0, 4 or 35 mm2"),
        ("runs", "source", "reference", "the start of a name"),
    ],
)
def test_help_says_how_each_kind_is_typed(table: str, field: str, kind: str, said: str) -> None:
    # by what the parser takes; no other kind's way is said
    every = ("yes or no", "1/0, 4 or 35 mm2", "the start of a name")
    help = describe_field(start_build("B"), table, field)
    assert kind_of(RECORD_TYPES[table], field) == kind
    if kind == "choice":
        assert all(option in help for option in schema_of(RECORD_TYPES[table], field).options)
    assert said in help
    assert [way for way in every if way in help] == [said] * (kind != "choice")


@pytest.mark.parametrize(("typed", "amperes"), [("2x30", 60.0), ("3 x 25 A", 75.0), ("40", 40.0)])
def test_fuses_are_typed_as_an_amplifier_prints_them(typed: str, amperes: float) -> None:
    # common practice: so many alike, printed "2 x 30 A" beside the holders
    assert parse_field(start_build("B"), "amplifiers", "onboard_fuse_a", typed) == amperes


def test_a_run_is_named_as_it_is_shown() -> None:
    # by use: what stands on the screen can be typed
    build = small_build()
    run = next(each for each in build.runs if not each.name)
    assert build.name_of(run) != run.id
    assert parse_field(build, "spots", "run", build.name_of(run)) == run.id


@pytest.mark.parametrize(
    ("table", "field", "typed"),
    [
        # what a vehicle of 24 V has: 28.4 V charging, 24 V rated, 21 V cut off, 27.4 V joining
        ("alternators", "regulated_v", "28.4"),
        ("appliances", "rated_v", "24V"),
        ("amplifiers", "lowest_v", "21"),
        ("blocks", "join_v", "27.4"),
        ("blocks", "charge_v", "28.8"),
    ],
)
def test_24_volts_are_refused_in_plain_words(table: str, field: str, typed: str) -> None:
    build = start_build()
    with pytest.raises(UnitError, match="24 V systems are not planned"):
        parse_field(build, table, field, typed)
    # another wrong voltage is refused with the limits alone
    with pytest.raises(UnitError) as refused:
        parse_field(build, table, field, "99")
    assert "24 V" not in str(refused.value)


def test_a_drop_limit_of_24_volts_is_no_system_voltage() -> None:
    with pytest.raises(UnitError) as refused:
        parse_field(start_build(), "header", "drop_limit_v", "24")
    assert "24 V systems" not in str(refused.value)
