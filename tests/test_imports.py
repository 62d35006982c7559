"""Every module stands alone, and none loads more than its room may (seen in fresh processes).

A command that prints must not wait for the terminal program, nor the first screen for numpy.
"""

import json
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

FORBIDDEN = {
    "domain": SLOW | SCREENS | TABLES | {"sqlite3", "storage", "demo_db", "tui"},
    "storage": SLOW | SCREENS | {"demo_db", "tui"},
    "demo_db": SLOW | SCREENS | {"tui"},
    "tui": SLOW | TABLES,
}
"""What the modules of a room may not load, by room."""

# A child process for each module, forked from one that holds only what every record needs.
EACH_ALONE = """
import importlib, json, os, sys
import pydantic
for name, forbidden in json.loads(sys.argv[1]):
    child = os.fork()
    if child == 0:
        try:
            importlib.import_module(name)
            loaded = sorted(set(forbidden) & {module.partition(".")[0] for module in sys.modules})
        except BaseException as error:
            loaded = [repr(error)]
        print(json.dumps([name, loaded]), flush=True)
        os._exit(0)
    os.waitpid(child, 0)
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
        timeout=120,
        check=False,
    )


@pytest.mark.parametrize("room", FORBIDDEN)
def test_each_module_alone_loads_only_what_its_room_may(room: str) -> None:
    asked = [(name, sorted(FORBIDDEN[room])) for name in modules(room)]
    ran = fresh(EACH_ALONE, json.dumps(asked))
    loaded = dict(json.loads(line) for line in ran.stdout.splitlines())
    assert loaded == {name: [] for name, _ in asked}, ran.stderr


@pytest.mark.parametrize(
    "arguments",
    [["--help"], ["--version"], ["sheet", "--help"], ["sheet", "1"], ["check", "1"], ["builds"]],
    ids=" ".join,
)
def test_a_command_that_prints_loads_no_screens(tmp_path: Path, arguments: list[str]) -> None:
    store = tmp_path / "builds.sqlite"
    demo_store(store)
    ran = fresh(COMMAND, "--store", str(store), *arguments)
    assert ran.returncode in (0, 1), ran.stderr
    assert ran.stdout
    heavy = {"textual", "sqlmodel", "sqlalchemy", "pint", "numpy"}
    assert heavy.isdisjoint(ran.stderr.split())
    assert "typer" in ran.stderr.split()
