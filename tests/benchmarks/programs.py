"""How the programs that are measured are started."""

import sys
from pathlib import Path

from domain.build.records import Build
from domain.document.records import records
from storage.store.builds import Store
from tests.benchmarks.terminal import Terminal

HELLO = (sys.executable, "tests/benchmarks/hello_app.py")
ECHO = (sys.executable, "tests/benchmarks/echo_app.py")

FIRST_SCREEN = ("Front 1", "full power", "Runs", "commands")
"""An amplifier in the table, two places of the live pane and the key line at the bottom."""


def store_with(folder: Path, build: Build) -> tuple[Path, int]:
    """A store that holds one build: its path and the build's key."""
    path = folder / "builds.sqlite"
    with Store(path) as store:
        return path, store.create(build)


def mainrun(store: Path, key: int) -> Terminal:
    """Mainrun as a user starts it on a build."""
    start = "from tui.start import main; main()"
    return Terminal([sys.executable, "-c", start, "--store", str(store), "open", str(key)])


def lengths_m(store: Path, key: int, table: str) -> dict[str, float | None]:
    """The length of every run or panel as it is saved [m]."""
    with Store(store) as opened:
        return {record.id: record.length_m for record in records(opened.open(key).document, table)}
