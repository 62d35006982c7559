"""The demo builds, read from the files beside this one, and a fresh store filled with them."""

from functools import cache
from importlib.resources import files
from pathlib import Path

from domain.build.records import Build

DEMO_STOPS = {"estate_car": 0, "camper_van": 0, "hatchback": 7, "motorhome": 0, "competition": 0}
"""The demo builds with the findings that forbid them, which a test works out; to do so at each
start would take longer than all the rest of it. Newest first, as the Builds screen lists them: the
first one is opened by the demo."""

DEMO_FILES = tuple(DEMO_STOPS)
"""Their names, in that order."""


def demo_builds() -> list[tuple[str, Build]]:
    """Every demo build with its short name, newest first."""
    return [(name, _demo_build(name)) for name in DEMO_FILES]


@cache
def _demo_build(name: str) -> Build:
    from storage.transfer import import_build

    return import_build((files("demo_db") / f"{name}.json").read_text(encoding="utf-8"))


def demo_store(path: Path) -> int:
    """Make a store at ``path`` that holds the demo builds; the key of the first of them.

    ``StoreError`` if it cannot be made.
    """
    from storage.store.builds import Store

    key = 0
    with Store(path) as store:
        for name, build in reversed(demo_builds()):
            key = store.create(build, stops=DEMO_STOPS[name])
    return key
