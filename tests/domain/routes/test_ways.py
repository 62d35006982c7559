"""Lengths follow the ways; what was measured wins until an end is moved."""

from typing import Any

import pytest
from msgspec.structs import replace

from domain.build import actions, removal, run_ends
from domain.build.edits import EditRefused, SetField, apply
from domain.build.records import Build
from domain.build.start import start_build
from domain.electrical.sections.starter_places import Vehicle, starter_places
from domain.evaluate import evaluate
from domain.routes.moving import stand_at
from domain.routes.ways import places_of, ways
from tests.domain.routes.vehicles import estate


def set_to(build: Build, table: str, id: str, field: str, value: Any) -> Build:
    return apply(build, SetField(table=table, id=id, field=field, value=value))[0]


def length(build: Build, run: str) -> tuple[float, bool]:
    found = evaluate(build).run(run)
    assert found is not None
    return round(found.length_m, 9), found.length_auto


def test_a_run_is_as_long_as_its_sections() -> None:
    build = estate()
    assert length(build, "r1") == (3.5, False)
    assert length(build, "r3") == (2.3, False)
    assert length(build, "r6") == (2.3, False)


def test_a_change_of_a_section_changes_all_its_runs() -> None:
    before = evaluate(estate())
    after = evaluate(set_to(estate(), "sections", "y3", "length_m", 2.1))
    changed = {
        run.id: round(run.length_m - old.length_m, 9)
        for run, old in zip(after.runs, before.runs, strict=True)
        if run.length_m != old.length_m
    }
    assert changed == dict.fromkeys(("r2", "r3", "r4", "r5", "r6", "r7"), 0.6)


def test_a_section_that_nobody_measured_leaves_its_runs_assumed() -> None:
    build = set_to(estate(), "sections", "y2", "length_m", None)
    assert length(build, "r1") == (2.0, True)
    assert length(build, "r2") == (1.5, False)
    codes = {(f.code, f.id) for f in evaluate(build).findings}
    assert ("section-length", "y2") in codes
    assert ("not-measured", "r1") not in codes


def test_what_was_measured_wins_and_falls_back_when_an_end_moves() -> None:
    build = set_to(estate(), "runs", "r1", "length_m", 4.2)
    assert length(build, "r1") == (4.2, False)
    moved, undo = apply(build, stand_at(build, "d1", "j4"))
    assert length(moved, "r1") == (5.0, False)
    assert apply(moved, undo)[0] == build
    fed = apply(build, run_ends.move_end(build, "r1", "target", "a1"))[0]
    assert length(fed, "r1") == (5.0, False)


def test_a_device_that_stood_nowhere_keeps_what_was_measured() -> None:
    build = set_to(estate(), "runs", "r1", "length_m", 4.2)
    build = set_to(build, "blocks", "d1", "place", "")
    assert length(build, "r1") == (4.2, False)
    assert length(apply(build, stand_at(build, "d1", "j3"))[0], "r1") == (4.2, False)


def test_a_way_can_go_by_another_place() -> None:
    build = set_to(estate(), "runs", "r2", "via", "j5")
    assert length(build, "r2") == (3.1, False)
    assert ways(build)["r2"].places == ("j3", "j4", "j5", "j4")


def test_two_ends_at_one_place_or_none_are_assumed_as_ever() -> None:
    build = estate()
    local = set_to(build, "amplifiers", "a1", "place", "j3")
    nowhere = set_to(build, "amplifiers", "a1", "place", "")
    assert length(local, "r2") == length(nowhere, "r2") == (1.0, True)


def test_ends_that_no_section_joins_are_told() -> None:
    build = apply(estate(), removal.remove(estate(), "sections", "y4"))[0]
    found = {(f.code, f.id) for f in evaluate(build).findings}
    assert {("way-missing", "r3"), ("way-missing", "r4"), ("place-alone", "j5")} <= found
    assert ("way-missing", "r2") not in found


def test_a_removed_place_takes_its_sections_and_leaves_its_devices() -> None:
    build = apply(estate(), removal.remove(estate(), "places", "j4"))[0]
    assert [section.id for section in build.sections] == ["y1", "y2"]
    assert next(a.place for a in build.amplifiers if a.id == "a1") == ""


def test_what_stands_nowhere_is_not_put_anywhere() -> None:
    with pytest.raises(EditRefused, match="only a device"):
        stand_at(estate(), "r1", "j1")


def test_a_new_device_stands_where_it_is_fed() -> None:
    build = apply(estate(), actions.add(estate(), "amplifiers"))[0]
    assert build.amplifiers[-1].place == "j3"


@pytest.mark.parametrize("vehicle", list(Vehicle))
def test_starter_places_put_every_device_somewhere(vehicle: Vehicle) -> None:
    start = start_build()
    for _ in range(2):
        start = apply(start, actions.add(start, "amplifiers"))[0]
    build, undo = apply(start, starter_places(start, vehicle))
    assert len(build.places) == {"car": 5, "van": 8}[vehicle.value]
    assert len(build.sections) == len(build.places) - 1
    at = places_of(build)
    assert set(at) >= {d.id for d in (*build.batteries, *build.amplifiers, *build.blocks)}
    assert all(at.values())
    assert ways(build)["r4"].places[0] == at["b1"]
    assert len(ways(build)["r4"].sections) >= 4
    assert not [f for f in evaluate(build).findings if f.code == "way-missing"]
    assert apply(build, undo)[0] == start
    with pytest.raises(EditRefused, match="already"):
        starter_places(build, vehicle)


def test_leads_follow_the_ways_too() -> None:
    start = apply(start_build(), actions.add(start_build(), "amplifiers"))[0]
    build = apply(start, starter_places(start, Vehicle.CAR))[0]
    for section in build.sections:
        build = set_to(build, "sections", section.id, "length_m", 1.1)
    (lead,) = evaluate(build).leads
    assert lead.length_m == pytest.approx(3.3)
    assert not lead.length_auto


def test_a_build_without_sections_is_as_it_was() -> None:
    """Places alone change nothing but what is said of them."""
    build = estate()
    plain = build.but(sections=(), places=())
    plain = plain.but(
        **{
            table: tuple(each.but(place="") for each in getattr(plain, table))
            for table in ("batteries", "alternators", "amplifiers", "blocks", "grounds")
        }
    )
    only_places = build.but(sections=())
    one, other = evaluate(plain), evaluate(only_places)
    assert one.runs == other.runs
    assert one.materials == other.materials
    assert replace(one.supply) == other.supply
