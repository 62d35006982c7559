"""Cautions stand where the work is, once each, on the screen and on its paper.

What is asked for is common practice, and 33 CFR 183 and vehicle makers' manuals on ground points
and airbags; the list of places is that of the work.
"""

from pathlib import Path

import pytest

from demo_db.load import demo_builds
from domain.build import kits
from domain.build.edits import SetField, apply
from domain.checks.cautions import (
    CUTTING,
    FULL_POWER,
    FULL_POWER_SHORT,
    GROUND_POINTS,
    HIGH_VOLTAGE,
    HIGH_VOLTAGE_SHORT,
    JOINING,
    LIFTING,
)
from domain.evaluate import make_plan
from domain.full_results import full_results
from domain.work_order import work_order
from storage.pack.pack import pack_files
from tests.storage.pack.measuring import open_pdf
from tests.tui.driving import press, running, screen_text, stored
from tui.screens.build_actions import BUILD_VIEWS

BUILDS = dict(demo_builds())


@pytest.fixture(scope="module")
def paper() -> str:
    """Every page of a pack of a build with readings, grounds, sheets to cut and two batteries."""
    build = BUILDS["estate_car"]
    build, _ = apply(build, kits.KITS[0].make(build))
    plan = make_plan(build)
    files = pack_files(plan, full_results(plan), paper="a4")
    pdf = next(content for name, content in files.items() if name.endswith(".pdf"))
    return " ".join(" ".join(page.get_text() for page in open_pdf(pdf)).split())


@pytest.mark.parametrize("caution", [FULL_POWER, GROUND_POINTS, CUTTING, LIFTING, JOINING])
def test_each_stands_once_on_paper(paper: str, caution: str) -> None:
    squeezed = "".join(paper.split())
    assert squeezed.count("".join(caution.split())) == 1


async def test_each_stands_once_on_its_page_of_the_screen(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = BUILDS["camper_van"]
    assert len(build.batteries) > 1
    key = stored(path, BUILDS["estate_car"])
    async with running(path, key=key, page="f5") as pilot:
        assert screen_text(pilot).count(GROUND_POINTS) == 1
        await press(pilot, "f7")
        assert screen_text(pilot).count(FULL_POWER_SHORT) == 1
        await press(pilot, "f3")
        assert JOINING not in screen_text(pilot), "one battery joins nothing"
        await press(pilot, "f6", "ctrl+k")
        assert screen_text(pilot).count(CUTTING.partition(";")[0]) == 1
    key = stored(path, build)
    async with running(path, key=key, page="f3") as pilot:
        shown = "".join(screen_text(pilot).split())
        assert shown.count("".join(JOINING.split())) == 1


def test_the_work_order_says_how_a_battery_is_lifted_once_for_each() -> None:
    build = BUILDS["camper_van"]
    steps = [step.what for step in work_order(build, make_plan(build).sheet)]
    assert sum(LIFTING in step for step in steps) == len(build.batteries) - 1


@pytest.mark.parametrize("drive", ["combustion", "hybrid", "electric"])
async def test_high_voltage_stands_on_every_page_that_routes_or_drills(
    tmp_path: Path, drive: str
) -> None:
    build, _ = apply(BUILDS["estate_car"], SetField(table="header", field="drive", value=drive))
    times = int(drive != "combustion")
    path = tmp_path / "store.db"
    key = stored(path, build)
    async with running(path, key=key, page="f3") as pilot:
        assert HIGH_VOLTAGE_SHORT not in screen_text(pilot), "nothing is routed or drilled there"
        for view in BUILD_VIEWS:
            await press(pilot, view.key)
            wanted = times * view.routes
            assert screen_text(pilot).count(HIGH_VOLTAGE_SHORT) == wanted, view.title
    assert build.parts
    plan = make_plan(build)
    files = pack_files(plan, full_results(plan), paper="a4")
    pdf = next(content for name, content in files.items() if name.endswith(".pdf"))
    pages = ["".join(page.get_text().split()) for page in open_pdf(pdf)]
    whole = "".join(HIGH_VOLTAGE.split())
    # diagram, runs, grounds and parts; the list of cautions; two steps of the work order
    assert sum(page.count(whole) for page in pages) == 7 * times
    short = "".join(HIGH_VOLTAGE_SHORT.split())
    templates = [page for page in pages if "Printat100%" in page]
    assert templates
    assert all(page.count(short) == times for page in templates)


@pytest.mark.parametrize("size", [(60, 18), (80, 24)])
async def test_beside_the_readings_it_is_whole_and_takes_no_empty_line(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, BUILDS["estate_car"])
    async with running(path, size, key=key, page="f7") as pilot:
        rows = [row.rstrip() for row in screen_text(pilot).splitlines()]
        first = next(i for i, row in enumerate(rows) if "CAUTION" in row)
        last = next(i for i, row in enumerate(rows) if "more below" in row)
        assert " ".join(" ".join(rows[first:last]).split()) == f"CAUTION: {FULL_POWER_SHORT}"
