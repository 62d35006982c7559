"""Patterns of text, each made when it is first asked: a start asks hardly any of them."""

import re
from collections.abc import Callable
from functools import cached_property


class Pattern:
    """A regular expression, as ``re.compile`` takes it."""

    def __init__(self, pattern: str, flags: re.RegexFlag = re.NOFLAG) -> None:
        self.pattern = pattern
        self._flags = flags

    @cached_property
    def _made(self) -> re.Pattern[str]:
        return re.compile(self.pattern, self._flags)

    def match(self, text: str) -> re.Match[str] | None:
        """Where it stands at the beginning of a text."""
        return self._made.match(text)

    def fullmatch(self, text: str) -> re.Match[str] | None:
        """The text, if it is all of it."""
        return self._made.fullmatch(text)

    def search(self, text: str) -> re.Match[str] | None:
        """Where it stands first in a text."""
        return self._made.search(text)

    def sub(self, by: str | Callable[[re.Match[str]], str], text: str) -> str:
        """The text with something else wherever it stands."""
        return self._made.sub(by, text)
