"""Builds, spots and sizes side by side: counts, shares and ranks, told by hand."""

import dataclasses
from decimal import Decimal

import pytest
from msgspec.structs import replace

from domain.build import actions
from domain.build.edits import AddRecord
from domain.build.record_kinds.extra_records import PackUnit
from domain.evaluate import evaluate
from domain.money.wire_cost import wire_cost
from domain.shop.catalogue import CatalogueItem
from domain.topics.compare import change, differing_runs, figures, pairs
from domain.topics.designs import DESIGNS, beside
from domain.topics.spots import SPOTS
from domain.topics.tables import Fact, Subject
from tests.domain.electrical.small import changed, small_build


@pytest.mark.parametrize(
    ("kind", "before", "after", "said"),
    [
        # by arithmetic: a quarter more, a quarter less; what is negative grows towards nothing
        ("mass", 2.0, 2.5, "+25.0%"),
        ("mass", 2.0, 1.5, "-25.0%"),
        ("current", -20.0, -15.0, "+25.0%"),
        ("current", -20.0, -30.0, "-50.0%"),
        # of nothing there is no share, and of what is not known neither
        ("current", 0.0, 5.0, ""),
        ("mass", None, 5.0, ""),
        ("mass", 5.0, None, ""),
        ("text", "a", "b", ""),
        # the same to nine figures is the same
        ("mass", 2.0, 2.0 * (1 + 1e-10), ""),
        ("mass", 2.0, 2.002, "+0.1%"),
        # findings are counted
        ("count", 3, 5, "+2"),
        ("count", 5, 3, "-2"),
        ("count", 0, 4, "+4"),
        ("count", 4, 4, ""),
    ],
)
def test_a_change_is_a_share_or_a_count(
    kind: str, before: float | str | None, after: float | str | None, said: str
) -> None:
    assert change(Fact("x", kind, before), Fact("x", kind, after)) == said


def test_runs_go_together_by_name_then_by_id() -> None:
    runs = evaluate(small_build()).runs
    a, b, c = runs[:3]
    same = replace(b, name=a.name)
    # two of one name: the one with the same id; what is left over stands alone, in both lists
    assert pairs([a, same], [same, a, c]) == [(a, a), (same, same), (None, c)]
    assert pairs([a, c], [replace(b, name=a.name)]) == [(a, replace(b, name=a.name)), (c, None)]


def test_only_runs_that_differ_are_told() -> None:
    one = small_build()
    other = changed(
        one,
        ("runs", "r5", "gauge", "AWG 1/0"),
        ("runs", "r6", "metal", "copper-clad aluminium"),
        ("runs", "r4", "fuse_a", 40.0),
    )
    subjects = [Subject(build, evaluate(build)) for build in (one, other)]
    told = [each.name for each in differing_runs(*subjects)]
    assert told == [subjects[0].name(id) for id in ("r4", "r5", "r6")]
    first = subjects[0]
    fewer = dataclasses.replace(
        first.sheet, runs=tuple(run for run in first.sheet.runs if run.id != "r6")
    )
    (lost,) = differing_runs(first, Subject(one, fewer))
    assert lost.wires[1] == "no such run"
    (found,) = differing_runs(Subject(one, fewer), first)
    assert lost.name == found.name == first.name("r6")
    assert found.wires == lost.wires[::-1]
    assert list(differing_runs(subjects[0], subjects[0])) == []


def test_spots_are_ranked_among_those_of_their_run() -> None:
    # by hand: two spots of the main run, the nearer one has less wire before its fuse
    build = small_build()
    for record in (
        {"id": "s1", "name": "Far", "run": "r4", "feed_m": 0.9},
        {"id": "s2", "name": "Near", "run": "r4", "feed_m": 0.2},
        {"id": "s3", "name": "Lost"},
        {"id": "s4", "name": "Branch", "run": "r5", "feed_m": 0.1},
    ):
        build = actions.applied(build, AddRecord(table="spots", record=record))
    build = changed(build, ("runs", "r4", "fuse_distance_m", 0.9))
    s = Subject(build, evaluate(build))
    rows = {row[0]: row[1:] for row in SPOTS.cells(s, ("name", "among", "decides", "run"))}
    assert rows["Near"][:2] == ("1 of 2", "best of those entered")
    assert rows["Far"][:2] == ("2 of 2", "fuse is here; more unprotected wire than Near")
    assert rows["Branch"][0] == "1 of 1"
    assert rows["Lost"] == ("-", "name the run whose fuse would sit here", "-")


def test_designs_are_told_by_what_they_cost_and_where_they_differ() -> None:
    build = small_build()
    s = Subject(build, evaluate(build))
    rows = {
        row[0]: row[1:] for row in DESIGNS.cells(s, ("title", "drop", "fits", "other", "sizes"))
    }
    assert next(iter(rows)) == "this plan"
    assert rows["this plan"][1:3] == ("", "")
    assert rows["lightest"][2] == "the same"
    # three runs are free: one size up changes all of them
    assert rows["one size up"][2].count(": ") == 3
    assert all(row[0].endswith(" ok") for row in rows.values())
    # a tighter limit than anything holds
    tight = changed(build, ("header", "", "drop_limit_v", 0.01))
    cells = DESIGNS.cells(Subject(tight, evaluate(tight)), ("drop",))
    assert all(cell.endswith(" OVER") for (cell,) in cells)
    # by counting: the three free runs, the thickest first
    free = next(each for each in s.sheet.designs if each.title == "lightest").gauges
    assert set(free) == {"r4", "r5", "r6"}
    counted = [int(part.split(" x ")[0]) for part in rows["lightest"][3].split(", ")]
    assert sum(counted) == 3
    assert evaluate(changed(build, *((("runs", r, "gauge", "AWG 4")) for r in free))).designs == ()


def _wire(size: str, price: str | None) -> CatalogueItem:
    return CatalogueItem(
        name=size,
        group="Wire",
        size_rule=size,
        pack=10,
        unit=PackUnit.METRE,
        price=None if price is None else Decimal(price),
    )


def test_wire_options_cost_what_their_lengths_do_at_the_shops_prices() -> None:
    build = changed(small_build(), ("runs", "r4", "gauge", "AWG 1/0"))
    sheet = evaluate(build)
    subject = Subject(build, sheet)
    everything = CatalogueItem(group="Wire", name="Any", unit=PackUnit.METRE, price=Decimal(2))
    runs = {run.id for run in sheet.runs}
    bought = [m for m in sheet.materials if m.group == "Wire" and runs & {*m.asked_by}]
    # by arithmetic: metres of the bill of materials at 2 each
    metres = sum(line.quantity for line in bought)
    assert wire_cost(build, sheet, (everything,)) == round(Decimal(2 * metres), 2)
    plain = {row.id: row for row in beside(subject)}
    assert {row.cost for row in plain.values()} == {None}
    rows = {row.id: row for row in beside(subject, (everything,))}
    assert rows["lightest"].cost == wire_cost(build, sheet, (everything,))
    # by hand: size after size at its own price, a tenth of a pack each metre
    sizes = {line.size for line in bought}
    assert len(sizes) > 1
    priced = tuple(_wire(size, str(10 * n)) for n, size in enumerate(sorted(sizes), 1))
    own = {item.size_rule: n for n, item in enumerate(priced, 1)}
    expected = sum(line.quantity * own[line.size] for line in bought)
    assert wire_cost(build, sheet, priced) == round(Decimal(expected), 2)
    # a wire without a price leaves it empty
    assert wire_cost(build, sheet, (*priced[1:], _wire(priced[0].size_rule, None))) is None
    assert wire_cost(build, sheet, priced[1:]) is None
    ((shown,),) = DESIGNS.over([rows["lightest"]]).cells(subject, ("cost",))
    assert shown.endswith(f"{rows['lightest'].cost:.2f}")
    dear = everything.but(price=Decimal(4))
    once = wire_cost(build, sheet, (everything,))
    assert once
    (twice,) = (f.value for f in figures(subject, (dear,)) if f.title == "Wire cost")
    assert str(twice).endswith(f"{2 * once:.2f}")
    (missing,) = (f.value for f in figures(subject, priced[1:]) if f.title == "Wire cost")
    assert missing == ""
    assert not [f for f in figures(subject) if f.title == "Wire cost"]
