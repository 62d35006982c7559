"""How the tests of the command line run a command in this process."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from domain.build.records import Build
from storage.store.builds import Store


@dataclass(frozen=True)
class Ended:
    """How a command ended."""

    code: int
    out: str
    err: str


Command = Callable[..., Ended]
"""Runs a command with these arguments."""


def add_build(store: Path, **content: object) -> str:
    """Add a build to the store; its key as it is typed."""
    with Store(store) as opened:
        return str(opened.create(Build.of(content)))
