"""The leads that switch as one tree, drawn on paper and, folded, on the screen.

Expected by hand: what hands 12 V on stands ahead of what it hands it to.
"""

from domain.build.actions import add, applied
from domain.build.edits import SetField
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.topics.wiring import RELAY, lead_forest, leads_of, rows_of
from tui.tables.lead_rows import lead_rows


def car(amplifiers: int) -> Build:
    build = start_build()
    for _ in range(amplifiers):
        build = applied(build, add(build, "amplifiers"))
    return build


def from_(build: Build, lead: str, source: str) -> Build:
    return applied(build, SetField(table="leads", id=lead, field="source", value=source))


def test_what_is_handed_on_stands_behind_and_the_screen_counts_it_too() -> None:
    build = from_(car(2), "w2", "a1")
    sheet = evaluate(build)
    (root,) = lead_forest(build, sheet)
    drawn = [(row.limb.device, len(row.more)) for row in rows_of(root)]
    assert drawn == [("t1", 0), ("a1", 1), ("a2", 2)]
    (row,) = lead_rows(build, sheet)
    assert row.records == ("t1", *leads_of(root)) == ("t1", "w1", "w2")


def test_a_relay_stands_between_and_is_no_lead() -> None:
    build = car(3)  # three amplifiers are more than the output gives
    sheet = evaluate(build)
    (root,) = lead_forest(build, sheet)
    assert [row.limb.device for row in rows_of(root)] == ["t1", "t1" + RELAY, "a1", "a2", "a3"]
    assert leads_of(root) == ("w1", "w2", "w3")


def test_leads_of_no_output_and_in_a_circle_are_each_drawn_once() -> None:
    build = from_(from_(from_(car(3), "w3", ""), "w1", "a2"), "w2", "a1")
    sheet = evaluate(build)
    roots = lead_forest(build, sheet)
    assert not roots[0].below
    assert sorted(id for root in roots for id in leads_of(root)) == ["w1", "w2", "w3"]
    output, loose = lead_rows(build, sheet)
    assert output.records == ("t1",)
    assert sorted(loose.records) == ["w1", "w2", "w3"]
