"""The clock of a program under test: it goes on by itself, and by what nobody need wait for."""

from asyncio import AbstractEventLoop
from time import monotonic

import pytest
from textual import _time

_passed_s = 0.0


def be_read(patch: pytest.MonkeyPatch) -> None:
    """Have Textual read it."""
    patch.setattr(_time, "get_time", lambda: monotonic() + _passed_s)


def follow(loop: AbstractEventLoop) -> None:
    """Have a loop keep time by it from now on."""
    if "time" not in vars(loop):
        before_s = _passed_s
        loop.time = lambda: monotonic() + _passed_s - before_s  # type: ignore[method-assign]


def pass_by(seconds: float) -> None:
    """Let this time pass at once [s]."""
    global _passed_s  # noqa: PLW0603
    _passed_s += seconds
