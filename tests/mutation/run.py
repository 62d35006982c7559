"""Put small faults into the domain, one at a time, and see whether the suite tells.

Two steps, neither of them in CI:

    python -m tests.mutation.run map      which test runs which line of the domain, and how long
    python -m tests.mutation.run try      300 faults, each in a process of its own
    python -m tests.mutation.run again    those that survived, with more tests each

A fault is tried with the tests that run its line, quickest first, until one fails. Where none
runs it (a table may be read while tests are collected) those of its file are tried. The figures
and the survivors are printed.
"""

import argparse
import importlib
import importlib.abc
import importlib.machinery
import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterable, Sequence
from pathlib import Path
from types import ModuleType

import pytest

from tests.mutation.mutants import Mutant, mutated, places

ROOT = Path(__file__).parents[2]
FOLDERS = (
    "tests/domain",
    "tests/reference",
    "tests/demo",
    "tests/kept",
    "tests/storage/pack",
    "tests/tui/report",
)
PLUGIN = ["-q", "-p", "no:cacheprovider", "-p", "tests.mutation.contexts"]
LONGEST_S = 240.0
"""A fault that keeps its tests busy for longer than this is told by that [s]."""
MOST_TESTS = 120
AGAIN = 6
"""So many times as long, and as many tests, for a fault that survived: it is not all of the suite
that is tried at first."""
FIRST = 12
"""So many are tried before the rest is so much as read."""
LIBRARIES: tuple[str, ...] = (
    "numpy",
    "pydantic",
    "scipy.optimize",
    "shapely",
    "Pynite",
    "reportlab.platypus",
)
LIBRARIES += ("ezdxf", "pymupdf", "textual.app", "neospice", "sqlmodel", "pint", "jsonschema")
"""Loaded once, for all children."""
MOST_S = 25.0
"""Tests tried on one fault take no longer than this when all is well [s]."""


class Loader(importlib.machinery.SourceFileLoader):
    """Loads one module with its fault."""

    place = 0

    def get_code(self, fullname: str) -> object:  # type: ignore[override]
        """The module's code, changed."""
        path = self.get_filename(fullname)
        text = Path(path).read_text(encoding="utf-8")
        return compile(mutated(text, self.place), path, "exec", dont_inherit=True)


class Finder(importlib.abc.MetaPathFinder):
    """Finds that module before the usual finders do."""

    def __init__(self, mutant: Mutant) -> None:
        self.name = mutant.file.removesuffix(".py").replace("/", ".")
        self.path = str(ROOT / mutant.file)
        self.place = mutant.place

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        """The module with the fault; ``None`` for all others."""
        if fullname != self.name:
            return None
        loader = Loader(fullname, self.path)
        loader.place = self.place
        return importlib.machinery.ModuleSpec(fullname, loader, origin=self.path)


def make_map(folder: Path, share: str) -> None:
    """Run a share of the suite once, and note which lines each test runs and how long it takes."""
    folder.mkdir(parents=True, exist_ok=True)
    part, parts = (int(each) for each in share.split("/"))
    settings = folder / f"coverage-{part}.ini"
    data = folder / f"lines-{part}.sqlite"
    settings.write_text(f"[run]\nsource = domain\ndata_file = {data}\n", encoding="utf-8")
    files = sorted(str(f) for each in FOLDERS for f in (ROOT / each).rglob("test_*.py"))
    command = [sys.executable, "-m", "coverage", "run", f"--rcfile={settings}", "-m", "pytest"]
    command += PLUGIN
    noted = {"MUTATION_TIMES": str(folder / f"times-{part}.json")}
    subprocess.run(
        [*command, *files[part - 1 :: parts]], cwd=ROOT, check=False, env=os.environ | noted
    )


def tests_by_line(folder: Path) -> dict[str, dict[int, set[str]]]:
    """File -> line -> tests that run it."""
    from coverage import CoverageData

    found: dict[str, dict[int, set[str]]] = {}
    for file in folder.glob("lines-*.sqlite"):
        data = CoverageData(str(file))
        data.read()
        for path in data.measured_files():
            lines = found.setdefault(str(Path(path).relative_to(ROOT)), {})
            for line, contexts in data.contexts_by_lineno(path).items():
                lines.setdefault(line, set()).update(each for each in contexts if each)
    return found


def times(folder: Path) -> dict[str, float]:
    """Test -> how long it takes [s]."""
    found: dict[str, float] = {}
    for file in folder.glob("times-*.json"):
        found |= json.loads(file.read_text(encoding="utf-8"))
    return found


def naming(file: str) -> set[str]:
    """Test files that import a module of the domain which no test of the map runs."""
    module, name = file.removesuffix(".py").replace("/", ".").rsplit(".", 1)
    ways = f"from {module}.{name} import", f"from {module} import {name}"
    tests = {path: path.read_text(encoding="utf-8") for path in (ROOT / "tests").rglob("test_*.py")}
    return {
        str(path.relative_to(ROOT))
        for path, text in tests.items()
        if any(way in text for way in ways)
    }


def chosen(
    names: set[str], seconds: dict[str, float], times: int = 1, near: set[str] | None = None
) -> list[str]:
    """The tests to try: those that run the line, those ``near`` it, the others of their files.

    ``near`` are those that run anything of the same file: what is kept once it is worked out is
    counted to the test that was the first to ask for it.

    A fixture of a whole file is counted to the first test that asks for it, so that the others
    may see what it made without running the line themselves. Quickest first, some broad ones before
    all, as many as there is time for.
    """
    files = {name.split("::")[0] for name in names}
    beside = {name for name in seconds if name.split("::")[0] in files} - names
    broad = {name for name in names if name.startswith("tests/kept")}
    nodes: list[str] = []
    total = 0.0
    first = sorted(broad, key=lambda each: seconds.get(each, 0.0))[: FIRST // 2]
    near = (near or set()) - names
    groups: tuple[Iterable[str], ...] = (first, names - set(first), near, beside - near)
    for group in groups:
        for name in sorted(group, key=lambda each: seconds.get(each, 0.0)):
            total += seconds.get(name, 0.0)
            if nodes and (total > MOST_S * times or len(nodes) >= MOST_TESTS * times):
                return nodes
            nodes.append(name)
    return nodes


def survives(mutant: Mutant | None, nodes: list[str], times: int = 1) -> bool:
    """Whether every one of these tests passes with the fault (or none); in its own process."""
    if not nodes:
        return True
    child = os.fork()
    if child == 0:
        signal.alarm(int(LONGEST_S * times))
        os.setpgid(0, 0)
        nowhere = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(nowhere, stream)
        if mutant:
            sys.meta_path.insert(0, Finder(mutant))
        code = 1
        try:
            for some in (nodes[:FIRST], nodes[FIRST:]):
                code = int(pytest.main([*PLUGIN, "-x", *some])) if some else 0
                if code:
                    break
        finally:
            os._exit(code)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status) == 0


def main() -> None:
    """Make the map, or try the faults."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("what", choices=("map", "try", "again"))
    parser.add_argument("--folder", type=Path, default=ROOT / ".mutation")
    parser.add_argument("--mutants", type=int, default=300)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--only", default="domain", help="files below this folder")
    parser.add_argument("--share", default="1/1", help="this one of so many shares, as 1/2")
    given = parser.parse_args()
    if given.what == "map":
        make_map(given.folder, given.share)
        return
    for library in LIBRARIES:
        importlib.import_module(library)
    os.chdir(ROOT)
    os.environ["MUTATION_TIMES"] = os.devnull
    # The runner and what it needs are loaded once; what is to be changed, and the tests, are not.
    pytest.main([*PLUGIN, "--collect-only", "tests/test_house.py"])
    for name in list(sys.modules):
        if name.split(".")[0] in ("domain", "storage", "tui", "demo_db", "conftest"):
            del sys.modules[name]
    files = sorted((ROOT / given.only).rglob("*.py"))
    every = [
        mutant
        for file in files
        for mutant in places(str(file.relative_to(ROOT)), file.read_text(encoding="utf-8"))
    ]
    draw = random.Random(given.seed)
    picked = draw.sample(every, min(given.mutants, len(every)))
    part, parts = (int(each) for each in given.share.split("/"))
    lines, known = tests_by_line(given.folder), times(given.folder)
    if not survives(None, sorted(known, key=lambda each: known[each])[:MOST_TESTS]):
        raise SystemExit("the quickest tests fail without a fault: nothing can be told by them")
    killed, survivors = 0, []
    tried, times_as_long = picked[part - 1 :: parts], 1
    if given.what == "again":
        lived_on = json.loads((given.folder / f"survivors-{part}.json").read_text())
        known_as = {(each["file"], each["place"]) for each in lived_on}
        killed = len(tried) - len(lived_on)
        tried = [each for each in tried if (each.file, each.place) in known_as]
        times_as_long = AGAIN
    for number, mutant in enumerate(tried, 1):
        began = time.monotonic()
        by_line = lines.get(mutant.file, {})
        names = by_line.get(mutant.line) or set().union(*by_line.values())
        names = names or naming(mutant.file)
        near = set().union(*by_line.values()) if given.what == "again" else None
        nodes = chosen(names, known, times_as_long, near)
        lived = survives(mutant, nodes, times_as_long)
        killed += not lived
        if lived:
            survivors.append(
                {**{k: getattr(mutant, k) for k in mutant.__slots__}, "tests": len(nodes)}
            )
        took = time.monotonic() - began
        word = "survived" if lived else "killed"
        print(
            f"{number} {word} {mutant.file}:{mutant.line} {mutant.what} ({took:.1f} s)", flush=True
        )
    total = killed + len(survivors)
    print(f"{killed} of {total} killed: {killed / total:.0%}")
    (given.folder / f"survivors-{part}.json").write_text(json.dumps(survivors, indent=1))


if __name__ == "__main__":
    main()
