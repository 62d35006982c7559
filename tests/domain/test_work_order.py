"""The order of the work, by the rule of the trade: negative off first, on last, then the fuses.

Expected values: common practice, and conservation (each new run laid and proved once, each fuse
put in once).
"""

import pytest

from domain.build.choices import Polarity
from domain.build.records import Build
from domain.evaluate import evaluate
from domain.work_order import WorkStep, work_order
from tests.storage.pack.builds import builds


def steps(build: Build) -> tuple[WorkStep, ...]:
    return work_order(build, evaluate(build))


def places(found: tuple[WorkStep, ...], *words: str) -> list[int]:
    return [i for i, step in enumerate(found) if all(word in step.what for word in words)]


@pytest.mark.parametrize("name", ["estate_car", "camper_van", "hatchback", "largest"])
def test_negative_off_first_and_on_last_then_the_fuses(name: str) -> None:
    build = builds()[name]
    found = steps(build)
    off = places(found, "take the negative off first")
    on = places(found, "its negative on, last of its wires")
    fuses = places(found, "put in")
    laid = places(found, "lay it from")
    mounted = [i for i, step in enumerate(found) if step.stage == "Mount"]
    proved = places(found, "readings sheet")
    assert len(off) == len(on) == len(build.batteries)
    assert max(off) < min(mounted) < min(laid)
    assert max(laid) < min(places(found, "ohm meter")) < min(on)
    assert max(on) < min(fuses)
    assert max(fuses) < min(proved)


@pytest.mark.parametrize("name", ["estate_car", "camper_van", "hatchback", "largest"])
def test_every_run_fuse_part_and_device_has_its_steps(name: str) -> None:
    build = builds()[name]
    sheet, found = evaluate(build), steps(build)
    for run in sheet.runs:
        once = 0 if run.existing else 1
        assert len(places(found, f"({run.id})", "lay it from")) == once
        assert len(places(found, f"({run.id})", "ohm meter")) == once
        entered = next(r for r in build.runs if r.id == run.id)
        assert len(places(found, f"({run.id})", "put in")) == entered.fused + entered.far_fused
        out = run.existing and run.fuse_a is not None
        assert len(places(found, f"({run.id})", "take its fuse out")) == out
        if run.fuse_a is not None and not run.existing:
            # by Ohm's law: a run with its fuse out is open from end to end
            assert places(found, f"({run.id})", "across the empty holder, open")
    for part in build.parts:
        assert places(found, "Make", part.name)
        assert places(found, "Fit", part.name)
    assert len(places(found, "Mount", "air round it")) == len(build.amplifiers)


def test_fuses_go_in_from_the_battery_outwards() -> None:
    build = builds()["camper_van"]
    sheet = evaluate(build)
    depth = {f"({run.id})": run.depth for run in sheet.runs}
    texts = [step.what for step in steps(build) if "put in" in step.what]
    order = [next(depth[id] for id in depth if id in text) for text in texts]
    assert order == sorted(order)


def test_a_wire_to_the_battery_s_negative_stays_off_until_the_end() -> None:
    found = steps(builds()["estate_car"])
    assert places(found, "(r3)", "leave its end at the battery off")


def test_stops_come_before_everything_and_an_empty_build_has_an_order_too() -> None:
    found = steps(builds()["hatchback"])
    # the fuse over its wire, its place, two grounds that 200 A would pass through, and that in
    # tube the wire is too thin for full output, and two joints that burn by their readings
    assert places(found, "Settle the 7 points marked STOP")[0] < 3
    empty = steps(Build())
    assert [step.order for step in empty] == list(range(1, len(empty) + 1))
    assert not places(empty, "put in")


def test_what_is_said_at_grounds_fuses_and_stops() -> None:
    # common practice: plating is not ground off, the battery is named, a stop is not passed over
    estate, camper = steps(builds()["estate_car"]), steps(builds()["camper_van"])
    assert places(estate, "Battery ground: clean the M8 stud, never grind")
    assert places(estate, "Boot ground: look behind the panel, grind to bright metal")
    assert places(estate, "(r5)", "put in", "the same as the posts of Starter battery to 0.1 V")
    assert places(camper, "(r5)", "put in", "isolator stays open", "the posts of Rear battery")
    assert places(camper, "(r8)", "put in", "the same as the battery that feeds it")
    (stopped,) = places(steps(builds()["hatchback"]), "NOT before its STOP", "(r4)", "put in")
    assert stopped
    assert not places(estate, "NOT before its STOP")
    assert places(estate, "Ears protected", "readings sheet")


def test_dead_shorts_are_looked_for_where_new_plus_wire_was_laid() -> None:
    # common practice: behind an empty holder to body; with only grounds renewed there is none
    build = builds()["hatchback"]
    assert len(places(steps(build), "far side of each empty holder")) == 1
    old = [
        run.but(existing=run.polarity is Polarity.POSITIVE, gauge="AWG 1/0") for run in build.runs
    ]
    grounds_only = build.but(runs=tuple(old))
    assert not places(steps(grounds_only), "far side of each empty holder")
