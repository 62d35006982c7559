"""What is said of a plan is so: nothing to buy where nothing is planned, what fails is a finding,
what was assumed is named by the finding that it brings about, and no figure has an exponent.

By definition; a failed reading by the tolerance that stands beside its prediction.
"""

import re

import pytest

from demo_db.load import demo_builds
from domain.build.actions import add
from domain.build.choices import AmplifierClass
from domain.build.edits import AddRecord, SetField, apply
from domain.build.records import Build
from domain.build.start import start_build
from domain.electrical.loads import rated_efficiency
from domain.evaluate import evaluate, make_plan
from domain.findings import Level
from domain.full_results import full_results
from tui.report.sheet import text

BUILDS = dict(demo_builds())


def one_amplifier(watts: float) -> Build:
    build = start_build()
    return apply(build, add(build, "amplifiers", channels=1, channel_w=watts))[0]


def test_a_build_that_feeds_nothing_lists_no_wire_fuse_or_block_to_buy() -> None:
    build = start_build()
    assert not {line.group for line in evaluate(build).materials} & {"Wire", "Fuses", "Blocks"}
    assert {line.group for line in evaluate(one_amplifier(300)).materials} >= {"Wire", "Fuses"}
    # what somebody measured is to be bought, whatever it will feed
    measured, _ = apply(build, SetField(table="runs", id="r4", field="length_m", value=4.0))
    assert "Wire" in {line.group for line in evaluate(measured).materials}


def test_a_finding_names_the_assumed_terminal_that_brings_it_about() -> None:
    build = one_amplifier(2000)
    found = [f for f in evaluate(build).findings if f.level is not Level.NOTE and f.id == "r5"]
    assert found
    for finding in found:
        assert "Amp 1 is assumed to take" in finding.why
        assert finding.do.startswith("enter what Amp 1 takes under Max wire")
    entered, _ = apply(
        build, SetField(table="amplifiers", id="a1", field="largest_wire", value="AWG 4/0")
    )
    assert not [f for f in evaluate(entered).findings if "assumed to take" in f.why]
    assert not [f for f in evaluate(entered).findings if f.id == "r5" and f.level is not Level.NOTE]


@pytest.mark.parametrize("kind", AmplifierClass)
def test_the_assumed_terminal_takes_what_the_amplifier_itself_does(kind: AmplifierClass) -> None:
    """Common practice: terminals are made for the current; 1/0 is the largest of most makes."""
    edit = SetField(table="amplifiers", id="a1", field="amplifier_class", value=kind.value)
    of_kind, _ = apply(one_amplifier(100), edit)
    for taken_w in (100, 300, 600, 900, 1200, 1400, 1800, 2200):
        watts = taken_w * rated_efficiency(of_kind.amplifiers[0])
        edit = SetField(table="amplifiers", id="a1", field="channel_w", value=watts)
        build, _ = apply(of_kind, edit)
        assert not [f for f in evaluate(build).findings if "assumed to take" in f.why], taken_w


@pytest.mark.parametrize(("off_v", "level"), [(0.0, None), (1.5, Level.FIX)])
def test_a_reading_that_fails_is_a_finding(off_v: float, level: Level | None) -> None:
    build = BUILDS["estate_car"]
    read = full_results(make_plan(build)).readings.predicted
    each = next(r for r in read if r.at == "b1")
    record = {
        "id": "m1",
        "at": each.at,
        "meter": each.meter.value,
        "mode": each.mode.value,
        "value_v": each.predicted_v + off_v,
    }
    build, _ = apply(build, AddRecord(table="readings", record=record))
    found = [f for f in evaluate(build).findings if f.code == "reading-failed"]
    assert [f.level for f in found] == ([] if level is None else [level])
    assert all((f.table, f.id) == ("readings", "m1") for f in found)


@pytest.mark.parametrize("name", list(BUILDS))
def test_no_figure_has_an_exponent(name: str) -> None:
    build = BUILDS[name]
    told = text(build, full_results(make_plan(build)))
    assert not re.findall(r"\d[eE][+-]?\d\d", told)
