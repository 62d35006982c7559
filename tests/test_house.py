"""The house is as its map says: one row a room, rooms one can look over, names that tell."""

import re
from collections import defaultdict
from fnmatch import fnmatch
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MAP = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
TOP = ("tui", "demo_db", "storage", "domain")
MOST_FILES = 20
"""A folder with more doors than this is a corridor."""


def rooms() -> dict[str, list[str]]:
    """Folder -> its modules, of everything that ships."""
    found: dict[str, list[str]] = defaultdict(list)
    for top in TOP:
        for path in (ROOT / top).rglob("*.py"):
            folder = str(path.parent.relative_to(ROOT))
            found[folder] += [] if path.stem == "__init__" else [path.stem]
    return found


def test_the_map_names_every_room_and_no_other() -> None:
    section = MAP.split("## The rooms")[1].split("\n## ")[0]
    named = re.findall(r"^\| `([\w/]+)/` \|", section, re.MULTILINE)
    assert sorted(named) == sorted(rooms())


def test_each_room_says_where_to_begin() -> None:
    section = MAP.split("## The rooms")[1].split("\n## ")[0]
    for room, first in re.findall(r"^\| `([\w/]+)/` \|.*\| (\S*) \|$", section, re.MULTILINE):
        if rooms()[room]:
            assert first.startswith(f"`{room}/"), room


def test_no_room_is_a_corridor() -> None:
    assert {room: len(files) for room, files in rooms().items() if len(files) > MOST_FILES} == {}


def test_no_file_repeats_the_name_of_its_room() -> None:
    """``shop/shop.py`` and ``pack/pack.py`` are the thing itself; others say what they add."""
    said = {room: room.rsplit("/", 1)[-1] for room in rooms()}
    repeated = sorted(
        f"{room}/{file}" for room, files in rooms().items() for file in files if file == said[room]
    )
    assert repeated == ["domain/shop/shop", "storage/pack/pack"]


def test_no_folder_of_tests_is_passed_over(pytestconfig: pytest.Config) -> None:
    passed_over = pytestconfig.getini("norecursedirs")
    folders = {path.parent for path in (ROOT / "tests").rglob("test_*.py")}
    names = {name for folder in folders for name in folder.relative_to(ROOT).parts}
    assert "build" in names
    assert not [name for name in names for each in passed_over if fnmatch(name, each)]
