"""What a thing is called: shown, asked for at a counter, and by its standard.

The one place for fuse families, breakers, blocks, bus bars and isolators. Things go by the words
that are stored for them.
"""

from functools import cache
from typing import NamedTuple

from domain.reference.csv_tables import load


class Words(NamedTuple):
    """The words of a thing: shown, asked for at a counter, its standard or that there is none."""

    shown: str
    counter: str
    standard: str


@cache
def _words() -> dict[str, Words]:
    rows = load("counter_words", ("thing", "shown", "counter", "standard"))
    return {row["thing"]: Words(row["shown"], row["counter"], row["standard"]) for row in rows}


def words_for(thing: str) -> Words | None:
    """The words of a thing; ``None`` where nobody asks for it at a counter."""
    return _words().get(thing)


def counter_words(thing: str) -> str:
    """What to ask for at a counter; "" where nobody does."""
    words = words_for(thing)
    return words.counter if words else ""


def standard(thing: str) -> str:
    """The standard that describes a thing, or that there is none."""
    words = words_for(thing)
    return words.standard if words else ""


def with_standard(thing: str) -> str:
    """What to ask for, with its standard: "mini blade fuse, 11 mm wide (ISO 8820-3 type F)"."""
    words = words_for(thing)
    return f"{words.counter} ({words.standard})" if words else ""
