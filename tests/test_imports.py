"""Every module stands alone, and none loads more than its room may (seen in fresh processes).

A command that prints must not wait for the terminal program, nor the first screen for numpy.
"""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from demo_db.load import demo_store

ROOT = Path(__file__).parents[1]

SLOW = frozenset({"numpy", "scipy", "pint", "pandas", "pytest", "hypothesis", "neospice"})
"""Nothing loads these merely by being imported."""

SCREENS = frozenset({"textual", "rich", "typer"})
TABLES = frozenset({"sqlmodel", "sqlalchemy"})
SERVER = frozenset({"psycopg"})
ON_SERVER = "storage.store.on_server."
"""Only what is about a store on a server loads its driver."""

FORBIDDEN = {
    "domain": SLOW | SCREENS | TABLES | SERVER | {"sqlite3", "storage", "demo_db", "tui"},
    "storage": SLOW | SCREENS | SERVER | {"demo_db", "tui"},
    "demo_db": SLOW | SCREENS | SERVER | {"tui"},
    "tui": SLOW | TABLES | SERVER,
}
"""What the modules of a room may not load, by room."""

COMMON = {
    "domain": (
        "domain.build.records",
        "domain.electrical.network.states",
        "domain.electrical.sizing.size_and_solve",
        "domain.evaluate",
        "domain.full_results",
    ),
    "storage": ("storage.store.builds",),
    "tui": (
        "textual.app",
        "tui.grids.grid_screen",
        "tui.views.build.record_table",
        "tui.screens.build",
    ),
}
"""What nearly every module of a room needs and what takes long to load, by room, in the order in
which it is loaded."""

APART = {
    "storage.pack.": (
        "storage.pack.ink",
        "storage.pack.table.grid",
        "storage.pack.pages",
        "storage.pack.pack_context",
    ),
    ON_SERVER: (ON_SERVER + "link",),
}
"""The same for modules whose names begin so: it is loaded for them alone, after what is common."""

# A child process for each module. What is common is loaded once, step by step, before the children
# that follow; the modules that a step brings with it have been tried before it by then.
EACH_ALONE = """
import gc, importlib, json, os, sys
import msgspec
gc.disable()

def in_child(work):
    child = os.fork()
    if child == 0:
        try:
            work()
        finally:
            sys.stdout.flush()
            os._exit(0)
    os.waitpid(child, 0)

def try_alone(name):
    try:
        importlib.import_module(name)
        loaded = sorted(set(forbidden) & {module.partition(".")[0] for module in sys.modules})
    except BaseException as error:
        loaded = [repr(error)]
    print(json.dumps([name, loaded]), flush=True)

def brought_by(step):
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reader)
        importlib.import_module(step)
        with os.fdopen(writer, "w") as to:
            json.dump(sorted(sys.modules), to)
        os._exit(0)
    os.close(writer)
    with os.fdopen(reader) as brought:
        text = brought.read()
    os.waitpid(child, 0)
    return set(json.loads(text or "[]"))

def try_each(names, common):
    for step in common:
        brought = brought_by(step)
        for name in names:
            if name in brought:
                in_child(lambda: try_alone(name))
        names = [name for name in names if name not in brought]
        importlib.import_module(step)
    for name in names:
        own = next((steps for begin, steps in apart.items() if name.startswith(begin)), None)
        if own is None:
            in_child(lambda: try_alone(name))
        else:
            later.setdefault(tuple(own), []).append(name)

names, forbidden, common, apart = json.loads(sys.argv[1])
later = {}
try_each(names, common)
apart = {}
for steps, own in later.items():
    in_child(lambda: try_each(own, steps))
"""

COMMAND = """
import sys
from tui.commands.main import main
try:
    main(sys.argv[1:])
finally:
    print(*sorted({module.partition(".")[0] for module in sys.modules}), file=sys.stderr)
"""


def modules(room: str) -> list[str]:
    """Every module of a room, by the files that are there."""
    found = (path.relative_to(ROOT).with_suffix("") for path in (ROOT / room).rglob("*.py"))
    return sorted(".".join(path.parts).removesuffix(".__init__") for path in found)


def fresh(code: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run code in a new interpreter at the top of the project."""
    return subprocess.run(
        [sys.executable, "-c", code, *arguments],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )


@pytest.mark.parametrize("room", FORBIDDEN)
def test_each_module_alone_loads_only_what_its_room_may(room: str) -> None:
    names = modules(room)
    steps = {"domain": ("domain",), "storage": ("domain", "storage")}.get(room, ("domain", room))
    common = [module for of in steps for module in COMMON.get(of, ())]
    ran = fresh(EACH_ALONE, json.dumps([names, sorted(FORBIDDEN[room]), common, APART]))
    loaded = dict(json.loads(line) for line in ran.stdout.splitlines())
    for name, found in loaded.items():
        if name.startswith(ON_SERVER):
            loaded[name] = [each for each in found if each not in SERVER]
    assert loaded == {name: [] for name in names}, ran.stderr


@pytest.mark.parametrize(
    "arguments",
    [["--help"], ["--version"], ["sheet", "--help"], ["sheet", "5"], ["check", "5"], ["builds"]],
    ids=" ".join,
)
def test_a_command_that_prints_loads_no_screens(tmp_path: Path, arguments: list[str]) -> None:
    store = tmp_path / "builds.sqlite"
    demo_store(store)
    ran = fresh(COMMAND, "--store", str(store), *arguments)
    assert ran.returncode in (0, 1), ran.stderr
    assert ran.stdout
    heavy = {"textual", "sqlmodel", "sqlalchemy", "pint", "psycopg"}
    if arguments[0] not in ("sheet", "check"):
        # whoever asks what a loaded plate stands waits for numpy, nobody else
        heavy.add("numpy")
    assert heavy.isdisjoint(ran.stderr.split())
    assert "typer" in ran.stderr.split()


OPENED = """
import sys
from pathlib import Path
import tui.app, tui.screens.build, tui.screens.builds
from domain.build.edits import AddRecord, SetField, apply
from domain.evaluate import evaluate
from storage.store.builds import Store
with Store(Path(sys.argv[1])) as store:
    store.shop().open()
    for each in store.builds():
        build = store.open(each.key).document
        evaluate(build)
        id = build.runs[0].id
        for field, value in (("length_m", 2.5), ("gauge", "AWG 4"), ("fused", True)):
            build, _ = apply(build, SetField(table="runs", id=id, field=field, value=value))
        apply(build, AddRecord(table="zones", record={"id": "z99", "name": "Roof"}))
print(*sorted({module.partition(".")[0] for module in sys.modules}))
"""


def test_to_open_a_build_and_edit_it_waits_for_no_model(tmp_path: Path) -> None:
    store = tmp_path / "builds.sqlite"
    demo_store(store)
    ran = fresh(OPENED, str(store))
    loaded = ran.stdout.split()
    assert "msgspec" in loaded, ran.stderr
    assert {"pydantic", "typer", "sqlmodel", "sqlalchemy", "pint"}.isdisjoint(loaded)


UNLOADED = """
import sys
from demo_db.load import demo_builds
from domain.evaluate import evaluate
none = {table: () for table in ("parts", "panels", "holes", "mounts")}
for _, build in demo_builds():
    evaluate(build.but(**none))
print("numpy" in sys.modules)
"""


def test_a_build_without_parts_is_worked_out_without_numpy() -> None:
    ran = fresh(UNLOADED)
    assert ran.stdout.split() == ["False"], ran.stderr


LOADED_PARTS = """
import sys
from demo_db.load import demo_builds
from domain.evaluate import evaluate
for _, build in demo_builds():
    evaluate(build)
print(*sys.modules)
"""
SOURCES = """
import sys
from domain.workings.cited import publications
publications()
print(*sys.modules)
"""


@pytest.mark.parametrize(
    ("code", "needed", "spared"),
    [
        (LOADED_PARTS, "numpy.linalg", "numpy.polynomial"),
        (SOURCES, "csv", "importlib.resources"),
    ],
)
def test_what_is_worked_out_brings_no_library_for_one_line(
    code: str, needed: str, spared: str
) -> None:
    ran = fresh(code)
    loaded = ran.stdout.split()
    assert needed in loaded, ran.stderr
    assert spared not in loaded


def test_programs_that_tests_start_are_compiled_once() -> None:
    assert not sys.dont_write_bytecode
    assert "PYTHONDONTWRITEBYTECODE" not in os.environ


FIRST_FRAME = """
import asyncio, sys
from pathlib import Path
import tui.app
from tui.app import MainrunApp
from tui.screens.build import BuildScreen

tui.app.LOOK_EVERY_S = 600.0  # on a slow machine others would be looked for before it
seen = []

def drawn(screen):
    if not seen and screen.visited and screen.grid.size.height:
        seen.extend(sys.modules)

MainrunApp._warm = lambda app: None
BuildScreen.drawn = drawn

async def main():
    app = MainrunApp(Path(sys.argv[1]), int(sys.argv[2]))
    async with app.run_test(size=(120, 40)) as pilot:
        while not seen:
            await pilot.pause(0.01)
    app.store.close()

asyncio.run(main())
print(*sorted(seen))
"""

NOT_SHOWN_AT_FIRST = (
    *("tui.dialogs.", "tui.pages.", "tui.tables.build_tables", "tui.tables.thing"),
    *("tui.tables.pack", "tui.tables.parts", "tui.tables.readings", "tui.tables.studies"),
    *("domain.evaluate", "domain.plan", "domain.workings.", "domain.money.matching"),
    *("domain.cable.", "domain.fabrication.", "domain.materials.", "domain.shop."),
    *("domain.electrical.sizing", "domain.electrical.protection", "domain.electrical.blocks"),
    *("storage.pack.", "storage.store.row_types", "storage.store.own_edits"),
    *("storage.store.migrations.m", "storage.store.migrations.first_ten.m"),
)
"""Beginnings of the names of modules that the first frame of a build waits for none of."""


def test_the_first_frame_waits_for_nothing_that_it_does_not_show(tmp_path: Path) -> None:
    store = tmp_path / "builds.sqlite"
    key = demo_store(store)
    ran = fresh(FIRST_FRAME, str(store), str(key))
    loaded = ran.stdout.split()
    assert "tui.views.build.wiring" in loaded, ran.stderr
    assert [name for name in loaded if name.startswith(NOT_SHOWN_AT_FIRST)] == []
