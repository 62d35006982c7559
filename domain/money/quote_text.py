"""The quote as plain text of 78 columns."""

import textwrap
from collections.abc import Iterator

from domain.build.records import Build
from domain.money.estimate import Estimate
from domain.money.quote import Quote, quote
from domain.sheet import Sheet

WIDTH = 78
"""Columns of the text."""


def quote_text(build: Build, sheet: Sheet, estimate: Estimate, dated: str = "") -> str:
    """A quote: what is included, the price if there is one, what was assumed, cautions.

    ``dated`` is printed as it is given.
    """
    lines = _lines(quote(build, sheet, estimate, dated))
    return "\n".join(wrapped for line in lines for wrapped in _wrapped(line)) + "\n"


def _lines(said: Quote) -> Iterator[str]:
    yield f"QUOTE: {said.title}"
    yield from (f"{what}: {text}" for what, text in said.head)
    yield from ("", "WHAT IS INCLUDED", "")
    yield from (f"- {text}" for text in said.included)
    yield from (_row(*row) for row in said.work)
    yield from ("", "MATERIALS", "")
    for line in said.materials:
        what = f"{line.quantity}  {line.item}" + (f", {line.size}" if line.size else "")
        yield _row(what, line.price)
    if not said.materials:
        yield "none"
    if said.price:
        yield from ("", "PRICE", "", *(_row(*row) for row in said.price), *said.missing)
    for title, texts in (("WHAT WAS ASSUMED", said.assumed), ("CAUTIONS", said.cautions)):
        yield from ("", title, "", *(f"- {text}" for text in texts))


def _row(what: str, amount: str) -> str:
    """A text and an amount at the right edge; the amount goes below where there is no room."""
    if not amount:
        return what
    if len(what) + len(amount) + 2 > WIDTH:
        return f"{what}\n{amount:>{WIDTH}}"
    return f"{what}{amount:>{WIDTH - len(what)}}"


def _wrapped(text: str) -> Iterator[str]:
    for line in text.split("\n"):
        if len(line) <= WIDTH:
            yield line
        else:
            indent = "  " if line.startswith("- ") else ""
            yield from textwrap.wrap(line, WIDTH, subsequent_indent=indent)
