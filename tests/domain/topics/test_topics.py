"""Results with words: marks, notes and sentences of the topics, told by hand."""

import dataclasses

import pytest
from msgspec.structs import replace

from demo_db.load import demo_builds
from domain.build.choices import Termination
from domain.build.records import Build
from domain.cable.pieces import WireEnd
from domain.evaluate import evaluate
from domain.topics.compare import change, differing_runs, figures
from domain.topics.cut_list import end
from domain.topics.findings import unsettled
from domain.topics.fuse_study import STUDIES, answer, verdict
from domain.topics.fuses import sits_at
from domain.topics.grounds import GROUNDS
from domain.topics.job import main_figures
from domain.topics.loads import AMPLIFIERS, conductor_kg, worst_drop_v
from domain.topics.runs import SCHEDULE, fuse_shown, jumped, run_rows
from domain.topics.supply import STATES, balance
from domain.topics.tables import Column, Fact, Subject, Table
from tests.domain.electrical.small import Change, changed, small_build

BUILDS = dict(demo_builds())


def subject(name: str = "estate_car") -> Subject:
    """A demo build with its sheet."""
    build: Build = BUILDS[name]
    return Subject(build, evaluate(build))


def test_a_mark_stands_behind_what_was_pinned_or_assumed() -> None:
    s = subject()
    for run in s.sheet.runs:
        length, wire = (SCHEDULE.by_key[key].cell(s, run) for key in ("length", "wire"))
        assert length.endswith("?") == run.length_auto
        assert wire.endswith("*") != run.gauge_auto
        assert (fuse_shown(s, run) == "-") == (run.fuse_a is None)
        assert fuse_shown(s, run).endswith("*") == (run.fuse_a is not None and not run.fuse_auto)


def test_figures_of_the_loads_are_the_worst_and_the_sum() -> None:
    # second method: by the sheet's own runs and amplifiers
    sheet = subject().sheet
    assert worst_drop_v(sheet) == max(a.drop_v or 0.0 for a in sheet.amplifiers)
    bought = [run.conductor_kg for run in sheet.runs if not run.existing]
    assert conductor_kg(sheet) == pytest.approx(sum(bought))
    assert worst_drop_v(dataclasses.replace(sheet, amplifiers=())) is None


def test_a_table_prints_the_columns_that_are_asked_for() -> None:
    s = subject()
    rows = AMPLIFIERS.cells(s, ("name", "full"))
    assert [row[0] for row in rows] == [load.name for load in s.sheet.amplifiers]
    assert all(row[1].endswith(" A") for row in rows)
    assert [c.title for c in AMPLIFIERS.pick(("drop", "out", "back"))] == [
        "Drop",
        "Feed drop",
        "Ground drop",
    ]
    with pytest.raises(KeyError):
        AMPLIFIERS.pick(("nothing",))


def test_a_value_that_there_is_not_has_no_mark() -> None:
    table: Table[int] = Table(
        rows=lambda s: (1,),
        columns=(Column("x", "X", "current", lambda s, n: None, lambda s, n: "*"),),
    )
    assert table.cells(subject(), ("x",)) == [("-",)]
    assert table.over([]).cells(subject(), ("x",)) == []


def test_a_study_says_what_is_dangerous_in_capitals() -> None:
    s = subject("hatchback")
    study = s.sheet.studies[0]
    safe = replace(study, protects=True, opens=True, breaks=True, selective=None)
    assert answer(s, safe) == "opens first"
    assert verdict(s, safe).startswith("PROTECTS: ")
    assert answer(s, replace(safe, protects=False)) == "THE WIRE OVERHEATS FIRST"
    assert verdict(s, replace(safe, protects=False)).startswith("DOES NOT PROTECT: ")
    assert answer(s, replace(safe, opens=False)).startswith("MAY NEVER OPEN")
    assert verdict(s, replace(safe, opens=False)).startswith("DOES NOT OPEN: ")
    over = replace(safe, breaks=False, breaking_a=2000.0)
    assert "over its 2000 A interrupting rating" in answer(s, over)
    assert verdict(s, over).endswith("it breaks 2000 A.")
    assert verdict(s, replace(safe, must_open_a=None)).startswith("NOT KNOWN: ")
    assert STUDIES.by_key["opens"].cell(s, replace(safe, opens_far_s=None)) == "never"


def test_the_balance_says_whether_the_battery_is_drained() -> None:
    s = subject()
    supply = replace(
        s.sheet.supply,
        cruise_balance_a=12.34,
        idle_balance_a=-20.0,
        minutes_to_half_idle=110.0,
        play_minutes=None,
    )
    told = {
        f.title: f for f in balance(Subject(s.build, dataclasses.replace(s.sheet, supply=supply)))
    }
    left = supply.cruise_a - supply.vehicle_a - supply.design_a
    spare = told["Balance while driving"].note
    assert spare.startswith("to spare; ")
    assert spare.endswith(f", {s.show('current', left)} at full power")
    # by hand: 110 min are 1 h 50 min
    assert told["Balance at idle"].note == "from the battery, half charge after 1 h 50 min"
    assert s.show("minutes", told["Engine off"].value) == "-"


def test_a_state_that_collapses_names_where_most_is_lost() -> None:
    s = subject()
    state = replace(s.sheet.states[0], collapsed=True, blame=s.sheet.runs[0].id, off=())
    lost = f"most is lost at {s.name(state.blame)}."
    assert STATES.note(s, state) == f"The voltage collapses under these loads; {lost}"
    off = replace(state, collapsed=False, converged=True, off=(s.sheet.amplifiers[0].id,))
    assert STATES.note(s, off) == f"Shut down: {s.sheet.amplifiers[0].name}."


def test_a_ground_point_names_the_wires_that_meet_there() -> None:
    s = subject()
    ground = s.sheet.grounds[0]
    own = [run for run in s.sheet.runs if ground.id in (run.source, run.target)]
    assert own
    assert all(s.name(run.id) in GROUNDS.note(s, ground) for run in own[:8])


def test_an_end_says_what_is_on_it() -> None:
    ring = WireEnd(at="a1", place="Amp", termination=Termination.RING, stud="M8")
    assert end(ring) == "Amp: ring terminal M8"
    assert end(replace(ring, termination=Termination.FERRULE)) == "Amp: ferrule"
    assert end(replace(ring, termination=None)) == "Amp: open"


def test_builds_differ_by_what_was_changed() -> None:
    one = subject()
    assert not list(differing_runs(one, one))
    assert not any(change(a, b) for a, b in zip(figures(one), figures(one), strict=True))
    # by hand: from 2 to 3 is half more, and one finding more
    assert change(Fact("", "mass", 2.0), Fact("", "mass", 3.0)) == "+50.0%"
    assert change(Fact("", "count", 2), Fact("", "count", 1)) == "-1"
    assert change(Fact("", "mass", None), Fact("", "mass", 3.0)) == ""


def test_a_stop_is_told_before_work_begins() -> None:
    sheet = subject("hatchback").sheet
    stops = [f for f in sheet.findings if f.level == "stop"]
    assert unsettled(dataclasses.replace(sheet, findings=())) == ""
    one = dataclasses.replace(sheet, findings=tuple(stops[:1]))
    assert stops
    assert unsettled(one) == "STOP: 1 point to settle before work begins, see Findings."


def test_spreadsheet_rows_are_in_the_units_of_their_headings() -> None:
    # exact by definition: a foot is 0.3048 m; F = 1.8 C + 32
    s = subject()
    head, *rows = run_rows(s)
    assert len({*map(str, head)}) == len(head)
    for run, row in zip(s.sheet.runs, rows, strict=True):
        told = dict(zip(map(str, head), row, strict=True))
        assert told["wire with slack ft"] == pytest.approx(run.wire_m / 0.3048)
        assert told["temperature F"] == pytest.approx(run.temperature_c * 1.8 + 32)
        assert told["measured"] == ("no" if run.length_auto else "yes")
    metric = s.build.but(header=s.build.header.but(units="metric"))
    head, row, *_ = run_rows(Subject(metric, s.sheet))
    assert dict(zip(head, row, strict=True))["wire with slack m"] == s.sheet.runs[0].wire_m


def test_a_fuse_sits_at_the_end_that_has_it() -> None:
    # by definition; a run fused at both ends is listed where it begins
    build = small_build()
    for near, far, place in ((True, False, "b1"), (False, True, "d1"), (True, True, "b1")):
        fused = changed(build, ("runs", "r4", "fused", near), ("runs", "r4", "far_fused", far))
        s = Subject(fused, evaluate(fused))
        (run,) = (run for run in s.sheet.runs if run.id == "r4")
        assert sits_at(s, run) == place


def test_new_wire_is_what_is_laid_anew() -> None:
    # by hand: 4.5, 0.8 and 0.4 m with their slack; what is in the vehicle already is not counted
    def told(*changes: Change) -> float:
        build = changed(small_build(), *changes)
        s = Subject(build, evaluate(build))
        (value,) = (f.value for f in main_figures(s) if f.title.startswith("New wire"))
        assert isinstance(value, float)
        return value

    plain = told()
    assert 4.5 + 0.8 + 0.4 < plain < 1.2 * (4.5 + 0.8 + 0.4)
    assert told(("runs", "r1", "length_m", 9.0)) == pytest.approx(plain)
    assert told(("runs", "r4", "length_m", 5.5)) == pytest.approx(plain + 1.0, abs=0.11)
    there = told(("runs", "r4", "existing", True))
    assert 0.8 + 0.4 < there < 1.2 * (0.8 + 0.4) + 0.1


def test_a_wire_that_jumps_says_why_and_one_that_moves_on_by_a_size_does_not() -> None:
    """Stock sizes in their order, counted by hand: 10, 8, 6, 4."""
    s = subject()
    run = next(run for run in s.sheet.runs if run.gauge_auto)

    def told(now: str, **more: object) -> str:
        before = replace(run, gauge="AWG 10")
        after = replace(run, gauge=now, gauge_why="carries its 60 A fuse", **more)
        return jumped(
            dataclasses.replace(s.sheet, runs=(before,)),
            dataclasses.replace(s.sheet, runs=(after,)),
        )

    assert told("AWG 4") == f"{run.name}: 4 AWG, it was 10 AWG: carries its 60 A fuse"
    assert told("AWG 6").startswith(f"{run.name}: 6 AWG")
    assert told("AWG 8") == ""
    assert told("AWG 4", gauge_auto=False) == ""
    assert told("16 mm2") == ""  # of another series: somebody chose another stock
