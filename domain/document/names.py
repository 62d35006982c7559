"""Names of copies: numbered, as a shop numbers them."""

import re
from collections.abc import Iterable

from domain.patterns import Pattern

LONGEST = 490
"""Letters of a name that a number may still stand behind."""

_NUMBER = Pattern(r"(.*\S) ([0-9]{1,6})", re.DOTALL)


def numbered(name: str, taken: Iterable[str]) -> str:
    """A free name for a copy: "Amp 2" of "Amp 1", "Front 2" of "Front"; "" of one without a name.

    The number is the next above its own that nobody has; letter case makes no difference.
    """
    if not name:
        return ""
    match = _NUMBER.fullmatch(name)
    base, number = (match[1], int(match[2])) if match else (name, 1)
    base = base[:LONGEST]
    had = {each.casefold() for each in taken}
    while f"{base} {number + 1}".casefold() in had:
        number += 1
    return f"{base} {number + 1}"


def free(name: str, taken: Iterable[str]) -> str:
    """A name for something that is not there yet: this one if nobody has it, else numbered."""
    had = list(taken)
    name = name[:LONGEST]
    return numbered(name, had) if name.casefold() in {each.casefold() for each in had} else name
