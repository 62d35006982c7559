"""What is shown while a cell is typed into is what Enter keeps."""

from functools import cache

import pytest

from demo_db.load import demo_builds
from domain.build.records import Build
from tests.domain.electrical.small import Change, changed
from tui.workbench import Workbench

BUILDS = dict(demo_builds())


@cache
def bench_of(name: str) -> Workbench:
    """The build as it is opened; nothing is done to it here."""
    return Workbench(None, 0, BUILDS[name], 0)


@pytest.mark.parametrize(
    "change",
    [
        ("header", "", "title", "Another name"),  # first: what is kept of the bench still stands
        ("runs", "r5", "length_m", 1.3),
        ("amplifiers", "a1", "channel_w", 90.0),
    ],
)
@pytest.mark.parametrize("name", BUILDS)
def test_no_size_moves_at_enter(name: str, change: Change) -> None:
    # second method: the same edit worked out with the shorts that several sources share
    bench = bench_of(name)
    edited: Build = changed(bench.build, change)
    shown, kept = bench.glance(edited).sheet.runs, bench.follow(edited).sheet.runs
    assert [(r.id, r.gauge, r.fuse_a) for r in shown] == [(r.id, r.gauge, r.fuse_a) for r in kept]
