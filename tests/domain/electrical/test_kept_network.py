"""A solved network is taken again where an edit cannot bear on it, and only there.

By definition: what is taken again equals what is worked out anew.
"""

from enum import Enum
from functools import cache
from random import Random
from typing import Any

import pytest

from demo_db.load import demo_builds
from domain.build.actions import applied
from domain.build.choices import Termination, Words
from domain.build.edits import EditRefused, SetField
from domain.build.records import Build, Header
from domain.electrical.sizing import kept
from domain.electrical.sizing.size_and_solve import SolvedNetwork, size_and_solve
from domain.evaluate import evaluate
from tests.counts import cases
from tests.domain.electrical.random_builds import NEWER, SENSIBLE, random_build

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


def figures(solved: SolvedNetwork) -> dict[str, Any]:
    """What a network was sized to and solved for."""
    return {
        "gauges": solved.sized.gauge,
        "fuses": solved.sized.fuse_a,
        "states": solved.states,
        "proofs": solved.proofs,
    }


@cache
def kept_of(name: str) -> kept._Kept:
    """What is kept of a build once it was evaluated; nothing is changed in it here."""
    kept._kept.clear()
    evaluate(BUILDS[name])
    return kept._kept[-1]


@pytest.fixture
def worked_out(monkeypatch: pytest.MonkeyPatch) -> list[SolvedNetwork]:
    """The networks that are sized anew."""
    found: list[SolvedNetwork] = []

    def noting(build: Build, **more: Any) -> Any:
        found.append(size_and_solve(build, **more))
        return found[-1]

    monkeypatch.setattr(kept, "size_and_solve", noting)
    kept._kept.clear()
    return found


def evaluated(name: str, worked_out: list[SolvedNetwork]) -> SolvedNetwork:
    """A build that was evaluated last, before anything is counted: its network."""
    before = kept_of(name)
    kept._kept.clear()
    kept._kept.append(before)
    worked_out.clear()
    return before.solved


@pytest.mark.parametrize(("name", "table"), APART)
def test_what_lies_apart_changes_no_size(
    name: str, table: str, worked_out: list[SolvedNetwork]
) -> None:
    build = BUILDS[name]
    other = changed(build, table)
    assert all(getattr(other, each) is getattr(build, each) for each in kept.BEARING)
    before = evaluated(name, worked_out)
    again = evaluate(other)
    assert not worked_out
    kept._kept.clear()
    assert evaluate(other) == again
    assert [figures(solved) for solved in worked_out] == [figures(before)]


def anew(build: Build, table: str) -> Build:
    """The build with every field that bears on nothing another, in all records of a table."""
    before = getattr(build, table)
    for record in before if isinstance(before, tuple) else (before,):
        for field in sorted(kept.BESIDE[table]):
            build = another(build, table, getattr(record, "id", ""), field)
    return build


def another(build: Build, table: str, id: str, field: str) -> Build:
    """The build with another value in a field: of those drawn at random, else the first taken."""
    own = next((r for r in getattr(build, table) if r.id == id), None) if id else build.header
    now = getattr(own, field)
    known = [values.get(table, {}).get(field, ()) for values in (SENSIBLE, NEWER)]
    kind: type[Enum] = Words if field == "words" else Termination
    if isinstance(now, Enum):
        kind = type(now)
    others: tuple[Any, ...] = (*known[0], *known[1], *kind, "M8", "anew", True, 0.002, 1.5, 20.0)
    for value in others:
        if value is not None and value != now:
            try:
                return applied(build, SetField(table=table, id=id, field=field, value=value))
            except EditRefused:
                continue
    assert field == "withstand_v"  # a capacitor's alone
    return build


BESIDE = [
    (name, table)
    for name, build in BUILDS.items()
    for table in kept.BESIDE
    if getattr(build, table)
]


@pytest.mark.parametrize(("name", "table"), BESIDE)
def test_what_bears_on_nothing_changes_no_size(
    name: str, table: str, worked_out: list[SolvedNetwork]
) -> None:
    other = anew(BUILDS[name], table)
    before = evaluated(name, worked_out)
    again, taken = evaluate(other), kept._kept[-1].solved
    assert not worked_out
    assert [item.run for item in taken.items.values()] == list(other.runs)
    kept._kept.clear()
    assert evaluate(other) == again
    assert [figures(solved) for solved in worked_out] == [figures(before)]


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Which fields and tables that are to bear on nothing were asked for."""
    found: list[str] = []

    def watch(kind: Any, field: str) -> None:
        own = vars(kind)[field]

        def get(record: Any) -> Any:
            found.append(f"{kind.__name__}.{field}")
            return own.__get__(record)

        monkeypatch.setattr(kind, field, property(get))

    for table, fields in kept.BESIDE.items():
        for field in sorted(fields):
            watch(Header if table == "header" else Build.TABLES[table], field)
    for table in sorted(kept.APART):
        watch(Build, table)
    return found


@pytest.mark.parametrize("seed", range(cases(300, 20)))
def test_what_bears_on_nothing_is_not_even_looked_at(seed: int, read: list[str]) -> None:
    # second method: not that no figure moves, but that none of it is read
    random = Random(seed)
    build = random_build(random, random.randint(5, 40), extreme=bool(seed % 2))
    read.clear()
    size_and_solve(build, swept=seed % 5 == 0)
    assert not read
    assert build.runs[0].name is not None
    assert read == ["Run.name"]  # it would have been seen


def test_a_length_beside_a_name_is_worked_out_anew(worked_out: list[SolvedNetwork]) -> None:
    build = anew(BUILDS["hatchback"], "runs")
    evaluated("hatchback", worked_out)
    evaluate(applied(build, SetField(table="runs", id=build.runs[0].id, field="count", value=2)))
    assert len(worked_out) == 1


@pytest.mark.parametrize("table", [t for t in kept.BEARING if getattr(BUILDS["camper_van"], t)])
def test_what_bears_on_it_is_worked_out_anew(table: str, worked_out: list[SolvedNetwork]) -> None:
    evaluated("camper_van", worked_out)
    evaluate(changed(BUILDS["camper_van"], table))
    assert len(worked_out) == 1


def test_the_drop_limit_bears_on_it(worked_out: list[SolvedNetwork]) -> None:
    build = BUILDS["hatchback"]
    evaluated("hatchback", worked_out)
    evaluate(applied(build, SetField(table="header", field="drop_limit_v", value=0.2)))
    evaluate(build, swept=True)
    assert len(worked_out) == 2
