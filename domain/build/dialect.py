"""US or British words, in text that is about to be shown, and never in what a person typed.

The program is written in US words; names of published tables are spelled as their makers do. What
lays text out (a line or a cell of the screen, a line of
print, a paragraph on paper) passes it through the ``Speech`` of its build first. Names and notes of
the build stand in the same sentences: where one occurs it is left as it was typed.
"""

import re
from collections.abc import Callable, Hashable, Iterable, Iterator
from functools import cache, lru_cache
from typing import NamedTuple

from domain.build.choices import UnitHabit, Words
from domain.build.records import Build, Header
from domain.build.schema import schema_of
from domain.document.declared import declared
from domain.document.entry import Entry
from domain.document.records import Document, record_type_of, records
from domain.patterns import Pattern

Speech = Callable[[str], str]
"""Turns a text into the words of its reader."""


class Pair(NamedTuple):
    """A word in the US and in Britain, and where the pair is from."""

    us: str
    uk: str
    source: str


SPELLING = "spelling"

PAIRS: tuple[Pair, ...] = (
    *(
        Pair(us, uk, "vehicle body words, read")
        for us, uk in (
            ("trunk", "boot"),
            ("hood", "bonnet"),
            ("firewall", "bulkhead"),
            ("fender", "wing"),
            ("fenders", "wings"),
            ("rocker panel", "sill"),
            ("windshield", "windscreen"),
            ("gasoline", "petrol"),
            ("tire", "tyre"),
            ("wrench", "spanner"),
            ("flashlight", "torch"),
        )
    ),
    *(
        Pair(us, uk, "wiring texts of both countries, read")
        for us, uk in (
            ("ground", "earth"),
            ("grounds", "earths"),
            ("grounded", "earthed"),
            ("grounding", "earthing"),
            ("star washer", "shakeproof washer"),
            ("star washers", "shakeproof washers"),
            ("split loom", "split convoluted tubing"),
        )
    ),
    *(
        Pair(us, uk, "memory")
        for us, uk in (
            ("harness", "loom"),
            ("harnesses", "looms"),
            ("ampacity", "current rating"),
            ("interrupting rating", "breaking capacity"),
            ("counter-clockwise", "anticlockwise"),
        )
    ),
    *(
        Pair(us, uk, SPELLING)
        for us, uk in (
            ("color", "colour"),
            ("colors", "colours"),
            ("colored", "coloured"),
            ("gray", "grey"),
            ("aluminum", "aluminium"),
            ("center", "centre"),
            ("centers", "centres"),
            ("centered", "centred"),
            ("labor", "labour"),
            ("markup", "mark-up"),
            ("neighbor", "neighbour"),
            ("neighbors", "neighbours"),
        )
    ),
)
"""Words that differ."""

_INTO: dict[Words, dict[str, str]] = {
    Words.UK: {pair.us: pair.uk for pair in PAIRS},
    Words.US: {pair.uk: pair.us for pair in PAIRS if pair.source == SPELLING},
}
"""What is put in the place of what. Whole words; capitals follow those of the text."""


def _any_of(words: Iterable[str]) -> str:
    longest_first = [
        r"\s+".join(map(re.escape, each.split())) for each in sorted(words, key=len, reverse=True)
    ]
    return rf"(?<![\w-])(?:{'|'.join(longest_first)})(?![\w-])"


_ANY = {words: Pattern(_any_of(into), re.IGNORECASE) for words, into in _INTO.items()}


def words_of(header: Header) -> Words:
    """US or British: as entered, else as the build's units suggest."""
    if header.words is not None:
        return header.words
    return Words.US if header.units is UnitHabit.INCH else Words.UK


def speech_of(document: Document, *beside: Document) -> Speech:
    """What turns the program's text into the words of a document's reader.

    Names out of documents ``beside`` it are left as they were typed, too. The shop has no words of
    its own: it is shown as the program is written.
    """
    if not isinstance(document, Build):
        return str
    words = words_of(document.header)
    typed = (text for each in (document, *beside) for text in _typed(each, words))
    return _spoken(words, frozenset(typed))


def in_words(words: Words, text: str) -> str:
    """A text of the program's own, with no name in it."""
    return _spoken(words, frozenset())(text)


def _typed(document: Document, words: Words) -> Iterator[str]:
    """Every text that a person typed in which one of the words occurs."""
    owners: list[tuple[type[Entry], tuple[Entry, ...]]] = [
        (record_type_of(table), records(document, table)) for table in document.TABLES
    ]
    header = getattr(document, "header", None)
    if isinstance(header, Header):
        owners.append((Header, (header,)))
    for kind, own in owners:
        for name in _text_fields(kind):
            for owner in own:
                text = getattr(owner, name)
                if text and _ANY[words].search(text):
                    yield text


@cache
def _text_fields(kind: Hashable) -> tuple[str, ...]:
    """The fields that hold what was typed; a material is a choice out of a published table."""
    assert isinstance(kind, type)
    assert issubclass(kind, Entry)
    return tuple(
        name
        for name in declared(kind)
        if name not in ("id", "material") and schema_of(kind, name).kind == "text"
    )


@lru_cache(maxsize=16)
def _spoken(words: Words, typed: frozenset[str]) -> Speech:
    names = sorted(map(re.escape, typed), key=len, reverse=True)
    kept = [r"(?<!\w)(?:" + "|".join(names) + r")(?!\w)"] if names else []
    either = Pattern("|".join([*kept, f"(?P<word>{_ANY[words].pattern})(?P<room>  +)?"]), re.I)
    exact = Pattern(kept[0]) if kept else None

    def into(word: str) -> str:
        """What takes the place of a word, which may go on in the next line."""
        own = word.split()
        new = _INTO[words][" ".join(own).casefold()].split()
        gaps = re.findall(r"\s+", word)[: len(new) - 1]
        lines = [*new[: len(gaps)], " ".join(new[len(gaps) :])]
        return "".join(part + gap for part, gap in zip(lines, [*gaps, ""], strict=True))

    def swap(found: re.Match[str]) -> str:
        return _as(found[0], into(found[0]))

    def swapped(found: re.Match[str]) -> str:
        word = found["word"]
        if word is None:
            named = exact is not None and exact.fullmatch(found[0])
            return found[0] if named else _ANY[words].sub(swap, found[0])
        new, room = _as(word, into(word)), found["room"] or ""
        # What stands in columns stays in its columns.
        return new + " " * max(len(room) + len(word) - len(new), 1) if room else new

    @lru_cache(maxsize=4096)
    def said(text: str) -> str:
        return either.sub(swapped, text) if _ANY[words].search(text) else text

    return said


def _as(word: str, new: str) -> str:
    """With the capitals of the word that it takes the place of."""
    if word.isupper():
        return new.upper()
    return new[:1].upper() + new[1:] if word[:1].isupper() else new
