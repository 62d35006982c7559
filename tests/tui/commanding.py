"""How the tests of the command line run a command in this process."""

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Ended:
    """How a command ended."""

    code: int
    out: str
    err: str


Command = Callable[..., Ended]
"""Runs a command with these arguments."""
