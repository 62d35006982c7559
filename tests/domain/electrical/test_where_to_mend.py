"""Where a finding sends the reader, and whether doing what it says helps.

By definition: the cell that it names holds what is wrong, and what it proposes, done, mends it.
"""

import re

import pytest

from domain.build import actions, removal
from domain.build.edits import AddRecord
from domain.build.records import Build
from domain.evaluate import evaluate
from domain.findings import Finding, Level
from tests.domain.electrical.small import Change, changed, found, small_build

COOL = ("zones", "z1", "ambient_c", 30.0)
STRIP = ("runs", "r4", "fuse_family", "strip SF 30")
MORE = ("amplifiers", "a1", "channel_w", 500.0)
UNLIMITED = ("amplifiers", "a1", "onboard_fuse_a", None)


def linked() -> tuple[Build, str]:
    """The small build with a second battery, and the id of the link between both."""
    build = actions.applied(small_build(), actions.add(small_build(), "batteries"))
    link = next(run.id for run in build.runs if run.far_fused)
    return changed(build, ("runs", link, "length_m", 5.0)), link


def about(build: Build, code: str, id: str) -> list[Finding]:
    return [finding for finding in found(build, code) if finding.id == id]


# a 150 A strip on AWG 4 of 105 C at 30 C opens too late at 1.45 times ampacity (by hand in
# protection/test_proofs.py); 300 A are over any AWG 4
SLOW: tuple[Change, ...] = (COOL, STRIP, ("runs", "r4", "gauge", "AWG 4"))


@pytest.mark.parametrize(
    ("code", "changes", "field"),
    [
        ("fuse-slow", (*SLOW, ("runs", "r4", "fuse_a", 150.0)), "fuse_a"),
        (
            "fuse-slow",
            (*SLOW, ("runs", "r4", "fuse_a", 150.0), ("runs", "r4", "existing", True)),
            "gauge",
        ),
        ("fuse-over-wire", (*SLOW, ("runs", "r4", "fuse_a", 300.0)), "fuse_a"),
        (
            "fuse-over-wire",
            (*SLOW, ("runs", "r4", "fuse_a", 300.0), ("runs", "r4", "existing", True)),
            "gauge",
        ),
        ("fuse-over-wire", (MORE, UNLIMITED, ("runs", "r5", "gauge", "AWG 14")), "gauge"),
    ],
)
def test_the_cell_that_was_typed_is_named(
    code: str, changes: tuple[Change, ...], field: str
) -> None:
    # a pinned fuse of a new run is what was typed wrong; else it is the wire that goes
    build = changed(small_build(), *changes)
    told = found(build, code)
    assert {finding.field for finding in told} == {field}
    for finding in told:
        (run,) = (run for run in build.runs if run.id == finding.id)
        assert getattr(run, finding.field) is not None


def test_a_short_from_two_batteries_names_the_pinned_fuse() -> None:
    # the same fuse and wire between two batteries, each feeding a short through its own end
    build, link = linked()
    build = changed(
        build,
        *(("zones", zone.id, "ambient_c", 30.0) for zone in build.zones),
        *(("runs", link, "gauge", "AWG 4"), ("runs", link, "fuse_a", 150.0)),
        ("runs", link, "fuse_family", "strip SF 30"),
    )
    there = changed(build, ("runs", link, "existing", True))
    for each, field in ((build, "fuse_a"), (there, "gauge")):
        told = evaluate(each, swept=True).findings
        (finding,) = (f for f in told if (f.id, f.code) == (link, "shared-short"))
        assert (finding.level, finding.field) == (Level.FIX, field)
    smaller = changed(build, ("runs", link, "fuse_a", 80.0))
    assert "shared-short" not in {f.code for f in evaluate(smaller, swept=True).findings}


def proposed(finding: Finding) -> float | None:
    """The rating that a finding says to fit [A]."""
    said = re.match(r"fit a ([0-9.]+) A fuse", finding.do)
    return float(said[1]) if said else None


@pytest.mark.parametrize("fuse_a", [25.0, 60.0, 150.0])
@pytest.mark.parametrize("count", [1, 2, 3])
@pytest.mark.parametrize("gauge", ["AWG 10", "AWG 8"])
def test_the_rating_that_is_proposed_mends_it(gauge: str, count: int, fuse_a: float) -> None:
    # three wires side by side: a short in one is fed through the fuses of both others
    build = changed(
        small_build(),
        *(MORE, UNLIMITED),
        *(("runs", "r4", "gauge", gauge), ("runs", "r4", "fuse_a", fuse_a)),
        ("runs", "r4", "count", count),
    )
    for finding in about(build, "fuse-over-wire", "r4"):
        rating = proposed(finding)
        if rating is None:
            continue
        assert rating < fuse_a
        after = changed(build, ("runs", "r4", "fuse_a", rating))
        assert not about(after, "fuse-over-wire", "r4")
        assert not about(after, "fuse-small", "r4")
        assert not [f for f in evaluate(after).findings if f.id == "r4" and f.level is Level.STOP]


@pytest.mark.parametrize(
    ("gauge", "count", "rating"),
    [
        ("AWG 8", 1, 60.0),
        ("AWG 8", 2, 30.0),
        ("AWG 8", 3, 20.0),
        ("AWG 10", 1, None),
        ("AWG 10", 2, 30.0),
        ("AWG 10", 3, None),
    ],
)
def test_what_is_proposed_by_hand(gauge: str, count: int, rating: float | None) -> None:
    # by hand: 56, 27 and 18 A a wire call for 60, 30 and 20 A; AWG 8 carries 62 A alone and 43 A
    # beside others, AWG 10 46 and 33 A: one fuse of 60 A is over 46 A, two of 20 A over 33 A
    build = changed(
        small_build(),
        *(MORE, UNLIMITED),
        *(("runs", "r4", "gauge", gauge), ("runs", "r4", "fuse_a", 80.0)),
        *(("runs", "r4", "count", count), ("runs", "r4", "cover", "open air")),
    )
    (finding,) = about(build, "fuse-over-wire", "r4")
    assert proposed(finding) == rating


@pytest.mark.parametrize("count", [1, 2, 3])
def test_a_fuse_that_is_not_to_blame_is_not_exchanged(count: int) -> None:
    # by hand: 125 A of the other battery's fuse reach the wire past its own 40 A fuse, which a
    # smaller one would not change
    build, link = linked()
    build = actions.applied(build, removal.remove(build, "runs", link))
    feed = {"id": "r30", "source": "b2", "target": "d1", "fused": True, "fuse_a": 125.0}
    build = changed(
        actions.applied(build, AddRecord(table="runs", record=feed)),
        *(("runs", "r4", "gauge", "AWG 10"), ("runs", "r4", "fuse_a", 40.0)),
        ("runs", "r4", "count", count),
    )
    (finding,) = about(build, "fuse-over-wire", "r4")
    assert finding.level is Level.STOP
    assert proposed(finding) is None
    if count == 1:
        assert finding.field == "gauge"
        assert "smaller fuse" not in finding.do
