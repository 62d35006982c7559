"""Hours, money and the quote. Expected values by hand, in exact decimals."""

import re
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from demo_db.load import demo_builds
from domain.build.actions import add_amplifier
from domain.build.choices import Finish
from domain.build.edits import AddRecord, SetField, apply
from domain.build.records import Build
from domain.build.start import start_build
from domain.csv_cells import CsvRefused
from domain.evaluate import evaluate
from domain.findings import Level
from domain.materials.takeoff import GROUPS
from domain.money.cents import cents, exact, hours, price_text
from domain.money.estimate import Estimate, estimate
from domain.money.matching import match
from domain.money.operations import operation_counts
from domain.money.quote import quote
from domain.money.quote_text import WIDTH, quote_text
from domain.reference.csv_tables import load
from domain.sheet import MaterialLine
from domain.shop.catalogue import CatalogueItem
from domain.shop.times import default_times, read_times, shop_times, times_csv

DEMO = dict(demo_builds())
EVERYTHING = tuple(
    CatalogueItem.of({"name": group, "group": group, "price": "1.37"}) for group in GROUPS
) + tuple(
    CatalogueItem.of({"name": f"{group} {unit}", "group": group, "unit": unit, "price": "2.95"})
    for group, unit in (("Wire", "m"), ("Heat-shrink", "m"), ("Loom", "m"), ("Sheet", "m2"))
)


def priced(build: Build, **header: Any) -> Build:
    return build.but(header=build.header.but(**header))


def worked(
    build: Build, items: tuple[CatalogueItem, ...] = (), own: dict[str, float] | None = None
) -> tuple[Estimate, str]:
    sheet = evaluate(build)
    found = estimate(build, sheet, match(sheet.materials, items), shop_times(own or {}))
    return found, quote_text(build, sheet, found)


def test_rounding_is_half_up_as_at_a_till() -> None:
    # arithmetic: half a cent goes up, where a binary float or banker's rounding goes down
    assert cents(Decimal("2.675")) == Decimal("2.68")
    assert cents(Decimal("0.125")) == Decimal("0.13")
    assert cents(exact(1.005) * 1) == Decimal("1.01")
    assert hours(Decimal("0.3")) == Decimal("0.01")
    # a pack at 1, one of it, times a 200th of the pack: half a cent, wherever the quotient was cut
    assert all(cents(Decimal(1) / pack * pack / 200) == Decimal("0.01") for pack in range(1, 1000))
    assert price_text(Decimal("1234.5"), "EUR") == "EUR 1234.50"
    assert price_text(Decimal(3), "") == "3.00"
    assert price_text(None, "EUR") == "-"


def test_operations_of_the_hatchback_by_hand() -> None:
    # by hand, from the file: counted in the records alone
    build = DEMO["hatchback"]
    sheet = evaluate(build)
    counts = operation_counts(build, sheet)
    new = [run for run in build.runs if not run.existing]
    holders = sum(
        run.fused and not (run.source.startswith("d") and not run.fuse_distance_m) for run in new
    )
    assert counts["terminate"] == 2 * len(new) + 2 * holders
    assert counts["measure"] == len(new)
    assert counts["amplifier"] == len(build.amplifiers)
    assert "battery" not in counts
    routed = counts.get("run_main", Decimal(0)) + counts.get("run_branch", Decimal(0))
    assert float(routed) == pytest.approx(sum(run.length_m or 0 for run in new), abs=0.011)
    made = sum(part.quantity for part in build.parts)
    assert counts.get("fit_part", 0) == made


def test_hours_and_prices_of_a_line_by_hand() -> None:
    # by hand: 45 min for each amplifier; for show 1.6 times: 72 min each, 3.6 h for three
    build = priced(DEMO["estate_car"], finish=Finish.SHOW, labour_price=77.7)
    found, _ = worked(build)
    (line,) = [line for line in found.lines if line.name == "amplifier"]
    assert (line.count, line.minutes_each) == (Decimal(3), Decimal(72))
    assert (line.hours, line.price) == (Decimal("3.60"), Decimal("279.72"))
    # drilling is not visible work: 25 min whatever the finish, 0.4166 h is 0.42 h, 32.634
    (drilled,) = [line for line in found.lines if line.name == "grommet"]
    assert (drilled.hours, drilled.price) == (Decimal("0.42"), Decimal("32.63"))


@pytest.mark.parametrize("name", DEMO)
def test_totals_are_the_sums_of_the_printed_lines(name: str) -> None:
    # second method: the figures are read back from the quote's text and added up
    build = priced(
        DEMO[name], labour_price=83.33, markup_ratio=1.35, tax_percent=8.875, currency="$"
    )
    found, text = worked(build, EVERYTHING)
    section = text.split("\nMATERIALS\n")[1].split("\nPRICE\n")
    amounts = [Decimal(amount) for amount in re.findall(r"\$ ([0-9.]+)\n", section[0] + "\n")]
    assert len(amounts) == len(found.materials_lines)
    assert found.complete
    printed = dict(re.findall(r"^(Labor|Materials|Tax|Total).*\$ ([0-9.]+)$", section[1], re.M))
    assert Decimal(printed["Materials"]) == sum(amounts)
    labour = sum(
        (line.hours * Decimal("83.33")).quantize(Decimal("0.01"), ROUND_HALF_UP)
        for line in found.lines
    )
    assert Decimal(printed["Labor"]) == labour
    net = sum(amounts) + labour
    tax = (net * Decimal("8.875") / 100).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert Decimal(printed["Tax"]) == tax
    assert Decimal(printed["Total"]) == net + tax
    spent = [Decimal(hour) for hour in re.findall(r" ([0-9.]+) h$", text.split("PRICE")[0], re.M)]
    assert sum(spent[:-1]) == spent[-1] == found.hours


@settings(max_examples=25, deadline=None)
@given(
    labour=st.floats(0, 1000),
    markup=st.floats(0.1, 20),
    tax=st.floats(0, 100),
)
def test_money_adds_up_for_any_header(labour: float, markup: float, tax: float) -> None:
    # conservation, in cents
    build = priced(DEMO["hatchback"], labour_price=labour, markup_ratio=markup, tax_percent=tax)
    found, _ = worked(build, EVERYTHING)
    amounts = [line.price for line in found.lines] + [x.price for x in found.materials_lines]
    net = sum((amount for amount in amounts if amount is not None), Decimal(0))
    assert found.total is not None
    assert found.tax is not None
    assert found.total == net + found.tax
    assert abs(found.tax - net * Decimal(repr(tax)) / 100) <= Decimal("0.005")
    assert all(x is None or x == x.quantize(Decimal("0.01")) for x in (*amounts, found.total))


def test_mark_up_by_hand() -> None:
    # by hand: one block at 20.01, times 1.25: 25.0125, so 25.01
    shop = (CatalogueItem.of({"name": "B", "group": "Blocks", "price": "20.01"}),)
    found, _ = worked(priced(DEMO["estate_car"], markup_ratio=1.25), shop)
    (block,) = [x for x in found.materials_lines if x.matched.line.group == "Blocks"]
    assert block.price == found.materials == Decimal("25.01")


def test_materials_are_rounded_once_after_the_mark_up() -> None:
    # by hand: one tie of a pack of 100 at 1.49, times 2.5: 0.03725, so 0.04, not 0.01 * 2.5;
    # 7 ft of a pack of 7 ft at 2.345: 2.35
    lines = (
        MaterialLine("Clamps", "Cable tie", "", 1, "each", 1, ()),
        MaterialLine("Wire", "Copper wire", "4 AWG", 7 * 0.3048, "m", 7 * 0.3048, ()),
    )
    tie = {"name": "T", "group": "Clamps", "pack": 100, "price": "1.49"}
    wire = {"name": "W", "group": "Wire", "unit": "ft", "pack": 7, "price": "2.345"}
    matched = match(lines, [CatalogueItem.of(each) for each in (tie, wire)])
    build = Build()
    for markup, prices in ((2.5, ["0.04", "5.86"]), (1.0, ["0.01", "2.35"])):
        found = estimate(
            priced(build, markup_ratio=markup), evaluate(build), matched, default_times()
        )
        assert [line.price for line in found.materials_lines] == [*map(Decimal, prices)]
        assert found.materials == sum(map(Decimal, prices))


def test_without_prices_no_amount_is_printed() -> None:
    found, text = worked(priced(DEMO["estate_car"], currency="EUR"))
    assert (found.labour, found.materials, found.tax, found.total) == (None, None, None, None)
    assert not found.complete
    assert "EUR" not in text
    assert "PRICE" not in text
    assert "not priced" not in text
    assert "Hours together, finish: clean" in text


def test_what_is_missing_is_said() -> None:
    shop = (CatalogueItem.of({"name": "B", "group": "Blocks", "price": 20}),)
    found, text = worked(DEMO["estate_car"], shop)
    assert "Labor is not in the total." in text
    assert "Total of what has a price" in text
    assert f"{found.unpriced} lines of materials have no price" in text
    assert found.unpriced == len(found.materials_lines) - 1
    assert "have no price and are not in the total." in text


def test_one_line_without_a_price_is_spoken_of_as_one() -> None:
    # grammar, and by hand: 20.00 for the block, nothing for labour, the ferrule unpriced
    lines = (
        MaterialLine("Blocks", "Distribution block", "", 1, "each", 1, ()),
        MaterialLine("Terminals", "Ferrule", "4 AWG", 1, "each", 1, ()),
    )
    shop = (CatalogueItem.of({"name": "B", "group": "Blocks", "price": 20}),)
    build = priced(Build(), tax_percent=0)
    found = estimate(build, evaluate(build), match(lines, shop), default_times())
    said = quote(build, evaluate(build), found)
    assert said.price == (("Materials", "20.00"), ("Total of what has a price", "20.00"))
    assert said.missing == (
        "Labor is not in the total.",
        "1 line of materials has no price and is not in the total.",
    )
    nothing = estimate(build, evaluate(build), (), default_times())
    free = quote(build, evaluate(build), nothing)
    assert (free.price, free.missing) == ((), ("No price is entered yet.",))


def test_assumptions_and_cautions_are_in_the_quote() -> None:
    build, _ = apply(start_build("New"), add_amplifier(start_build("New")))
    found, text = worked(build)
    sheet = evaluate(build)
    flat = " ".join(text.split())
    unmeasured = [run for run in sheet.runs if run.length_auto and not run.existing]
    assert unmeasured
    for run in unmeasured:
        assert f"{run.name}: length not measured yet" in flat
    for caution in sheet.cautions:
        assert caution in flat
    used = len(found.lines)
    waiting = "times are defaults that nobody measured, not yet replaced by the shop's own"
    assert f"hours: {used} of {used} {waiting}" in found.for_shop
    assert "nobody measured, not yet" not in flat  # the customer has nothing of it
    one, _ = worked(build, own={"amplifier": 45})
    assert f"hours: {used - 1} of {used} {waiting}" in one.for_shop
    own = {time.name: time.value for time in default_times()}
    found, _ = worked(build, own=own)
    assert not any(waiting in text for text in found.for_shop)


def test_what_must_be_settled_first_is_an_assumption_of_the_quote() -> None:
    # by counting: a sound build has nothing to settle, one without its main fuse has its stops
    build, _ = apply(start_build("New"), add_amplifier(start_build("New"), onboard_fuse_a=80.0))
    settled = "of the plan must be settled before the work begins"

    def told(build: Build) -> list[str]:
        return [text for text in worked(build)[0].assumptions if settled in text]

    assert told(build) == []
    unfused, _ = apply(build, SetField(table="runs", id="r4", field="fused", value=False))
    stops = sum(f.level is Level.STOP for f in evaluate(unfused).findings)
    assert stops > 0
    assert told(unfused) == [f"{stops} {'point' if stops == 1 else 'points'} {settled}"]


def test_a_body_path_that_nobody_measured_is_an_assumption() -> None:
    # by counting: both ground points have wires, until one is measured
    build, _ = apply(start_build("New"), add_amplifier(start_build("New")))

    def assumed(build: Build) -> list[str]:
        said = ": body resistance not measured, a typical one taken"
        found = worked(build)[0].assumptions
        return [text.removesuffix(said) for text in found if text.endswith(said)]

    assert assumed(build) == ["Battery ground", "Rear ground"]
    measured, _ = apply(
        build, SetField(table="grounds", id="e2", field="resistance_ohm", value=0.001)
    )
    assert assumed(measured) == ["Battery ground"]
    assert [g.resistance_auto for g in evaluate(measured).grounds] == [True, False]
    # a point that no wire comes to is not spoken of
    spare, _ = apply(build, AddRecord(table="grounds", record={"id": "e3", "name": "Spare"}))
    assert assumed(spare) == ["Battery ground", "Rear ground"]


def test_runs_as_calculated_and_runs_that_stay_are_counted() -> None:
    # by counting: three runs of the vehicle's own stay; main run, branch and ground are chosen
    build, _ = apply(start_build("New"), add_amplifier(start_build("New")))
    found = worked(build)[0].assumptions
    assert "wire size of 3 runs as calculated, not chosen by hand" in found
    assert "3 runs of wire already in the vehicle stay, if found sound" in found
    for run in ("r4", "r5"):
        build, _ = apply(build, SetField(table="runs", id=run, field="gauge", value="AWG 4"))
    for run in ("r1", "r2"):
        build, _ = apply(build, SetField(table="runs", id=run, field="existing", value=False))
        build, _ = apply(build, SetField(table="runs", id=run, field="gauge", value="AWG 4"))
    found = worked(build)[0].assumptions
    assert "wire size of 1 run as calculated, not chosen by hand" in found
    assert "1 run of wire already in the vehicle stays, if found sound" in found


def test_an_empty_build_costs_nothing() -> None:
    found, text = worked(Build())
    assert (found.lines, found.hours, found.total) == ((), Decimal("0.00"), None)
    assert "none" in text


def test_odd_text_stays_within_the_page() -> None:
    odd = "[/red] =1+1 " + "very " * 60 + "x" * 200
    build = priced(DEMO["camper_van"], title=odd, customer=odd, vehicle=odd, currency="[b]" * 19)
    _, text = worked(priced(build, labour_price=1), EVERYTHING)
    assert max(map(len, text.splitlines())) <= WIDTH
    assert "[/red] =1+1" in text


def test_the_default_times_say_that_they_are_invented() -> None:
    columns = ("name", "title", "value", "unit", "per", "finish")
    rows = load("labour_times", columns)
    assert {(row["source"], row["seen"]) for row in rows} == {("INVENTED", "memory")}
    assert {row["unit"] for row in rows} == {"min", "ratio"}
    names = {time.name for time in default_times()}
    assert {f"finish_{finish.value}" for finish in Finish} <= names
    assert len(names) == len(rows)


def test_times_are_edited_as_a_file() -> None:
    # conservation: all that the file names is the shop's own, also where it is the default
    text = times_csv(default_times())
    defaults = {time.name: time.value for time in default_times()}
    assert read_times(text) == defaults
    edited = text.replace(",45,min", ',"50,5",min')
    own = read_times(edited)
    assert own == {**defaults, "amplifier": 50.5, "prove": 50.5}
    assert read_times(times_csv(shop_times(own))) == own
    kept = f"name,title,value,unit\namplifier,,{defaults['amplifier']:g},\n"
    assert [time.name for time in shop_times(read_times(kept)) if time.own] == ["amplifier"]
    assert read_times("name,title,value,unit\nfuse,,20,\n") == {"fuse": 20}


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("solder,,5,min", "line 2: there is no operation 'solder'"),
        ("fuse,,soon,min", "line 2: value: 'soon' is no number"),
        ("fuse,,10001,min", "line 2: fuse: must be from 0 to 10000"),
        ("finish_show,,101,ratio", "line 2: finish_show: must be from 0 to 100"),
        ("fuse,,1,min\nfuse,,2,min", "line 3: stands there twice"),
    ],
)
def test_bad_times_are_named_with_their_line(row: str, says: str) -> None:
    with pytest.raises(CsvRefused, match=says):
        read_times(f"name,title,value,unit\n{row}\n")


def test_own_times_change_the_hours() -> None:
    # by hand: 4 h to open instead of 1.5 h
    before, _ = worked(DEMO["estate_car"])
    after, _ = worked(DEMO["estate_car"], own={"open": 240})
    assert after.hours - before.hours == Decimal("2.50")
