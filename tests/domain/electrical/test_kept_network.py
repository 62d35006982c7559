"""A solved network is taken again where an edit cannot bear on it, and only there.

By definition: what is taken again equals what is worked out anew.
"""

from typing import Any

import pytest

from demo_db.load import demo_builds
from domain.build.actions import applied
from domain.build.edits import SetField
from domain.build.records import Build
from domain.electrical.sizing import kept
from domain.electrical.sizing.size_and_solve import size_and_solve
from domain.evaluate import evaluate

BUILDS = dict(demo_builds())
APART = [
    (name, table)
    for name, build in BUILDS.items()
    for table in sorted(kept.APART)
    if getattr(build, table)
]


def changed(build: Build, table: str) -> Build:
    """The build with every measure of a table a tenth larger."""
    records = []
    for record in getattr(build, table):
        measures = {
            name: value for name, value in record.plain().items() if isinstance(value, float)
        }
        larger = {name: value * 1.1 for name, value in measures.items()}
        records.append(record.but(**larger))
    return build.but(**{table: tuple(records)})


def figures(build: Build) -> dict[str, Any]:
    """What a network was sized to and solved for."""
    solved = size_and_solve(build)
    return {
        "gauges": solved.sized.gauge,
        "fuses": solved.sized.fuse_a,
        "states": solved.states,
        "proofs": solved.proofs,
    }


@pytest.fixture
def worked_out(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The titles of builds that are sized anew."""
    titles: list[str] = []

    def noting(build: Build, **more: Any) -> Any:
        titles.append(build.header.title)
        return size_and_solve(build, **more)

    monkeypatch.setattr(kept, "size_and_solve", noting)
    kept._kept.clear()
    return titles


@pytest.mark.parametrize(("name", "table"), APART)
def test_what_lies_apart_changes_no_size(name: str, table: str, worked_out: list[str]) -> None:
    build = BUILDS[name]
    other = changed(build, table)
    assert all(getattr(other, each) is getattr(build, each) for each in kept.BEARING)
    evaluate(build)
    again = evaluate(other)
    assert len(worked_out) == 1
    kept._kept.clear()
    assert evaluate(other) == again
    if table == APART[0][1]:
        assert figures(other) == figures(build)


@pytest.mark.parametrize("table", [t for t in kept.BEARING if getattr(BUILDS["camper_van"], t)])
def test_what_bears_on_it_is_worked_out_anew(table: str, worked_out: list[str]) -> None:
    build = BUILDS["camper_van"]
    evaluate(build)
    evaluate(changed(build, table))
    assert len(worked_out) == 2


def test_the_drop_limit_bears_on_it(worked_out: list[str]) -> None:
    build = BUILDS["hatchback"]
    evaluate(build)
    evaluate(applied(build, SetField(table="header", field="drop_limit_v", value=0.2)))
    evaluate(build, swept=True)
    assert len(worked_out) == 3
