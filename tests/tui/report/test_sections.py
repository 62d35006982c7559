"""The sections of a printed sheet on study, drive, spots and readings."""

import dataclasses
from functools import cache

import pytest
from msgspec.structs import replace
from rich.cells import cell_len

from demo_db.load import demo_builds
from domain.build.actions import applied
from domain.build.dialect import speech_of
from domain.build.edits import SetField
from domain.build.records import Build
from domain.evaluate import evaluate, make_plan
from domain.full_results import drive_profile, full_results, readings_of
from domain.plan import Plan
from domain.sheet import FuseStudy, Sheet
from domain.topics.compare import pairs
from domain.topics.drive import shown_points
from domain.topics.shower import shower
from domain.topics.tables import Subject
from domain.units.show import clock
from tui.report.compare import comparison
from tui.report.drive import drive
from tui.report.plain import WIDTH
from tui.report.readings import check_list, judgement
from tui.report.sheet import json_text, text
from tui.report.study import designs, protection, spots
from tui.report.tables import offsets

BUILDS = dict(demo_builds())


@cache
def plan_of(name: str) -> Plan:
    """The plan of a demo build."""
    return make_plan(BUILDS[name])


def sheet_of(name: str) -> Sheet:
    """Its sheet."""
    return plan_of(name).sheet


def subject_of(build: Build) -> Subject:
    """A build with its sheet."""
    return Subject(build, evaluate(build))


def with_study(**changed: object) -> str:
    """The protection section of the hatchback, its one study changed."""
    build, sheet = BUILDS["hatchback"], sheet_of("hatchback")
    study: FuseStudy = replace(sheet.studies[0], **changed)
    subject = Subject(build, dataclasses.replace(sheet, studies=(study,)))
    return " ".join(" ".join(protection(subject)).split())


@pytest.mark.parametrize("name", list(BUILDS))
def test_every_section_is_there_and_within_the_page(name: str) -> None:
    """In the order of the work; a picture is no wider than the text."""
    build, results = BUILDS[name], full_results(plan_of(name))
    lines = text(build, results, picture=True).splitlines()
    assert max(map(cell_len, lines)) <= WIDTH
    headings = ["FUSES", "PROTECTION", "WIRE OPTIONS", "DRIVE", "GROUNDS", "SPOTS", "READINGS"]
    places = [lines.index(speech_of(build)(heading)) for heading in headings]
    assert places == sorted(places)
    assert any("\u2800" <= char <= "\u28ff" for line in lines for char in line)
    plain = text(build, results)
    assert not any("\u2800" <= char <= "\u28ff" for char in plain)


@pytest.mark.parametrize("left_out", ["amplifiers", "runs", "batteries", "everything"])
def test_an_unfinished_build_prints_too(left_out: str) -> None:
    """Nothing entered, or a table missing with all that names it: never an error."""
    build = Build()
    if left_out != "everything":
        data = BUILDS["estate_car"].plain() | {left_out: [], "parts": [], "panels": []}
        data |= {"fixings": [], "mounts": [], "footprints": [], "studs": []}
        gone = {each.id for each in getattr(BUILDS["estate_car"], left_out)}
        data["runs"] = [r for r in data["runs"] if not gone & {r["source"], r["target"]}]
        kept = {run["id"] for run in data["runs"]}
        data["spots"] = [spot for spot in data["spots"] if spot["run"] in kept]
        build = Build.of(data | {"holes": []})
    plan = make_plan(build)
    sheet, results = plan.sheet, full_results(plan)
    shown = text(build, results, picture=True)
    assert max(map(cell_len, shown.splitlines())) <= WIDTH
    assert "SUPPLY" in shown
    assert json_text(results)
    assert check_list(Subject(build, sheet), results.readings)
    assert comparison((build, sheet), (BUILDS["hatchback"], sheet_of("hatchback")))


def test_long_names_do_not_widen_a_section() -> None:
    """Names of the longest kind, in wide characters, in every table that these sections use."""
    long = "\u754c" * 250
    build = BUILDS["hatchback"]
    data = build.plain()
    for rows in ("batteries", "amplifiers", "grounds", "runs", "legs"):
        data[rows] = [row | {"name": long} for row in data[rows]]
    data["spots"] = [{"id": "s1", "name": long, "run": "r4"}]
    odd = Build.of(data)
    plan = make_plan(odd)
    sheet, results = plan.sheet, full_results(plan)
    lines = text(odd, results, picture=True).splitlines()
    lines += check_list(Subject(odd, sheet), results.readings)
    lines += comparison((odd, sheet), (build, sheet_of("hatchback"))).splitlines()
    assert max(map(cell_len, lines)) <= WIDTH


def test_a_fuse_that_does_not_protect_says_so() -> None:
    """Each verdict in words, with the curve it rests on."""
    shown = with_study()
    assert "THE WIRE OVERHEATS FIRST" in shown
    assert "0.0043 at 270 A" in shown
    assert "Curve used for r4: usual post cube window, from memory" in shown
    clean = with_study(protects=True, margin=None, selective=False, upstream="r1")
    assert "never overheats" in clean
    assert "opens first; may also blow r1" in clean
    assert "never" in with_study(opens=False, opens_far_s=None)
    assert "over its 2000 A interrupting rating" in with_study(breaks=False, breaking_a=2000.0)


def test_what_a_fuse_guards_beside_its_own_run_is_named() -> None:
    """The isolator's fuse in the camper guards three runs, one of them the weakest."""
    build = BUILDS["camper_van"]
    lines = protection(Subject(build, sheet_of("camper_van")))
    assert any(line.startswith("r4 protects Starter battery to isolator, ") for line in lines)


def test_designs_show_the_plan_first_and_only_sizes_that_differ() -> None:
    """The plan's own mass is the sum over its runs (second method: by hand from the sheet)."""
    build, sheet = BUILDS["estate_car"], sheet_of("estate_car")
    lines = designs(Subject(build, sheet))
    mass = sum(run.conductor_kg for run in sheet.runs if not run.existing)
    assert lines[1].startswith("this plan")
    assert shower(build)("mass", mass) in lines[1]
    assert lines[2].startswith("lightest")
    assert lines[2].endswith("the same")
    assert "r4: 2/0" in "".join(lines)
    assert designs(Subject(build, dataclasses.replace(sheet, designs=()))) == []


def test_the_drive_has_a_row_every_few_minutes_and_one_for_each_leg() -> None:
    """Of 3480 s: every 5 minutes, six leg starts that fall between, and the end."""
    build = BUILDS["hatchback"]
    result = drive_profile(make_plan(build))
    assert result is not None
    points = shown_points(build, result)
    assert [point.time_s for point in points if point.time_s % 300 == 0] == [
        300.0 * i for i in range(12)
    ]
    assert {leg.id for leg in build.legs} == {point.leg for point in points}
    assert points[-1] is result.points[-1]
    lines = drive(subject_of(build), result)
    assert lines[0].split()[:3] == ["Battery", "In", "Out"]
    assert lines[-1].lstrip().startswith("0:57:50")
    assert drive(subject_of(build), None) == []


def test_the_drive_says_who_switches_off() -> None:
    """A battery that runs empty takes the amplifiers with it."""
    build = applied(
        BUILDS["hatchback"],
        SetField(table="batteries", id="b1", field="capacity_ah", value=5.0),
        SetField(table="legs", id="l3", field="duration_s", value=7200.0),
    )
    shown = "\n".join(drive(subject_of(build), drive_profile(make_plan(build))))
    assert "! Five-channel amp switches off after " in shown


@pytest.mark.parametrize(
    ("time_s", "shown"), [(0, "0:00:00"), (3661, "1:01:01"), (9e4, "25:00:00")]
)
def test_the_clock(time_s: float, shown: str) -> None:
    """By hand."""
    assert clock(time_s) == shown


def test_a_battery_that_becomes_full_is_drawn() -> None:
    """Its charge runs along the upper edge of the picture."""
    legs = [{"id": "l1", "playing": "silent", "duration_s": 200000}]
    build = Build.of(BUILDS["hatchback"].plain() | {"legs": legs})
    result = drive_profile(make_plan(build))
    assert result is not None
    assert result.points[-1].charge["b1"] == pytest.approx(1.0, abs=1e-4)
    lines = drive(subject_of(build), result, picture=True)
    assert max(map(cell_len, lines)) <= WIDTH


def test_the_way_back_names_every_joint() -> None:
    """As the estate car is wired: over the body from one ground point to the other."""
    build = BUILDS["estate_car"]
    shown = offsets(Subject(build, sheet_of("estate_car")))
    assert shown[0].startswith("Ground difference to the body at full power")
    assert " ".join(" ".join(shown[2:4]).split()).endswith(
        "Door amp ground > Boot ground > body > Battery ground > Battery ground cable > "
        "Starter battery"
    )
    camper = BUILDS["camper_van"]
    marked = offsets(Subject(camper, sheet_of("camper_van")))[0]
    assert "head unit at Dash ground of the radio" in marked


def test_the_spots_are_ranked_and_say_why() -> None:
    """The one above the belt is ruled out although it is nearer to the post."""
    build = BUILDS["estate_car"]
    header, first, second = spots(Subject(build, sheet_of("estate_car")))
    assert header.split()[0] == "Run"
    assert "13 in" in first
    assert first.endswith("best of those entered")
    assert second.endswith("ruled out: moving parts")


def test_typed_readings_pass_or_fail() -> None:
    """The bad ground of the hatchback is named, and what to do about it."""
    build, sheet = BUILDS["hatchback"], sheet_of("hatchback")
    found = readings_of(plan_of("hatchback"))
    shown = "\n".join(judgement(Subject(build, sheet), found))
    assert shown.count(" pass") == 3
    assert shown.count("FAIL: ") == 3
    assert "1. Boot ground, where it meets the body: " in shown
    listed = " ".join(" ".join(check_list(Subject(build, sheet), found)).split())
    assert listed.count(", tolerance ") == len(found.predicted)
    for title in ("Driving, full power:", "Engine off, average:"):
        assert title in listed


def test_contradicting_readings_send_nobody_to_a_joint() -> None:
    """One terminal read as -30 V and as 30 V: the verdict says so, and no joint is blamed."""
    build = BUILDS["hatchback"]
    twice = [{"id": f"m{n}", "at": "a1", "mode": "off-tone", "value_v": 30 * n} for n in (-1, 1)]
    twice[0]["id"] = "m2"
    odd = Build.of(build.plain() | {"readings": twice})
    lines = judgement(subject_of(odd), readings_of(make_plan(odd)))
    assert "was read twice in one state" in " ".join(lines)
    assert not [line for line in lines if line.startswith("1. ")]


def test_comparing_a_build_with_itself_and_with_a_variant() -> None:
    """Nothing differs from itself; of a variant only what was changed and what follows from it."""
    build, sheet = BUILDS["estate_car"], sheet_of("estate_car")
    same = comparison((build, sheet), (build, sheet))
    assert same.count("\nnone\n") == 3
    assert "%" not in same
    thick = applied(build, SetField(table="runs", id="r7", field="gauge", value="AWG 8"))
    lines = comparison((build, sheet), (thick, evaluate(thick))).splitlines()
    (row,) = [line for line in lines if line.startswith("Tweeter amp feed")]
    assert row.split()[3:7] == ["12", "AWG", "8", "AWG"]
    assert not [line for line in lines if line.startswith("Door amp feed")]


def test_runs_pair_by_name_and_the_others_stand_alone() -> None:
    """No run is lost or taken twice (conservation)."""
    one, other = sheet_of("estate_car").runs, sheet_of("hatchback").runs
    found = pairs(one, other)
    assert [a for a, _ in found if a] == list(one)
    assert {b.id for _, b in found if b} == {run.id for run in other}
    assert all(a.name == b.name for a, b in found if a and b)
