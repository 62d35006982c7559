"""The documents say what is there, and no file says what belongs to one machine only."""

import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
import typer

from tui.commands.main import app

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DOCUMENTS = README + (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
ROOMS = (".ci", "domain", "storage", "tui", "demo_db", "tests")
GROUP = typer.main.get_group(app)

FORBIDDEN = re.compile(
    r"\b(?:TO"
    r"DO|FIX"
    r"ME|X"
    r"XX)\b"  # work that is left
    r"|(?<![\w.~$}])/(?:ho"
    r"me|ro"
    r"ot|wo"
    r"rk|Us"
    r"ers)/\w"  # somebody's own folders
    r"|\.\./sha"
    r"red"  # what is not in the clone
)


def files() -> Iterator[Path]:
    """Every text file of the project."""
    yield from (path for path in ROOT.iterdir() if path.is_file() and path.name != ".git")
    for room in ROOMS:
        for path in (ROOT / room).rglob("*"):
            if path.is_file() and "__pycache__" not in path.parts and path.suffix != ".ttf":
                yield path


def test_readme_begins_with_the_job_and_then_two_commands() -> None:
    name, job, *_ = README.split("\n\n")
    assert name == "# Mainrun"
    assert job.startswith("Mainrun plans")
    blocks = re.findall(r"```sh\n(.*?)```", README, re.DOTALL)
    assert [block.count("\n") for block in blocks[:2]] == [1, 1]
    assert "/mainrun demo" in blocks[0]
    assert "/pytest" in blocks[1]


@pytest.mark.parametrize("program", ["mainrun", "pytest"])
def test_the_programs_that_readme_calls_are_installed(program: str) -> None:
    assert shutil.which(program, path=str(Path(sys.executable).parent))


def test_every_command_is_in_the_documents_and_every_one_named_there_exists() -> None:
    named = set(re.findall(r"\bmainrun ([a-z]+(?:-[a-z]+)*)\b", "\n".join(_code(DOCUMENTS))))
    assert named == set(GROUP.commands)


def test_every_option_named_in_readme_exists() -> None:
    options = {
        option
        for command in (GROUP, *GROUP.commands.values())
        for parameter in command.params
        for option in parameter.opts
    }
    own = [line for line in _code(README) if "pytest" not in line]
    named = set(re.findall(r"(?<!\S)--[a-z-]+", "\n".join(own)))
    assert named <= options
    assert {"--store", "--format", "--state", "--sheet"} <= named


def test_every_path_named_by_developers_md_exists() -> None:
    named = re.findall(
        r"`((?:domain|storage|tui|demo_db|tests|\.ci)/[\w./]*)`",
        (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"),
    )
    assert named
    assert [path for path in named if not (ROOT / path).exists()] == []


def test_ci_runs_the_lines_of_readme() -> None:
    # The same search as in .ci/run: exactly one line each.
    lines = [line for line in README.splitlines() if line.startswith("python3 -m venv ")]
    assert len([line for line in lines if "pytest" in line]) == 1
    assert len([line for line in lines if "mainrun demo" in line]) == 1
    checked = subprocess.run(["bash", "-n", ROOT / ".ci" / "run"], check=False, timeout=20)
    assert checked.returncode == 0


def test_no_file_holds_what_belongs_to_one_machine_or_is_left_to_do() -> None:
    found = [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()[:80]}"
        for path in files()
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if FORBIDDEN.search(line)
    ]
    assert found == []


def _code(text: str) -> list[str]:
    """What stands in back-ticks or in a block of shell lines."""
    return re.findall(r"`([^`\n]+)`", text) + re.findall(r"```sh\n(.*?)```", text, re.DOTALL)
