"""A style sheet is read once in a process of the tests, not anew by each program that starts.

What is read of one is never changed: Textual itself keeps it, for as long as one program runs.
"""

from collections import defaultdict
from typing import Any

import pytest
from textual.cache import LRUCache
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet

_Read = LRUCache[tuple[Any, ...], list[RuleSet]]

_read: dict[frozenset[tuple[str, str]], _Read] = defaultdict(lambda: LRUCache(1000))
"""What was read, by the colors and sizes that a theme puts in."""

_make, _set_variables = Stylesheet.__init__, Stylesheet.set_variables


def read_once(patch: pytest.MonkeyPatch) -> None:
    """Have it so from now on."""
    patch.setattr(Stylesheet, "__init__", _made)
    patch.setattr(Stylesheet, "set_variables", _with_variables)


def read_anew(patch: pytest.MonkeyPatch) -> None:
    """Have it as Textual has it: for a test of what a program reads."""
    patch.setattr(Stylesheet, "__init__", _make)
    patch.setattr(Stylesheet, "set_variables", _set_variables)


def _made(sheet: Stylesheet, *, variables: dict[str, str] | None = None) -> None:
    _make(sheet, variables=variables)
    sheet._parse_cache = _read[frozenset((variables or {}).items())]


def _with_variables(sheet: Stylesheet, variables: dict[str, str]) -> None:
    sheet._parse_cache = LRUCache(1)  # it empties what it has
    _set_variables(sheet, variables)
    sheet._parse_cache = _read[frozenset(variables.items())]
