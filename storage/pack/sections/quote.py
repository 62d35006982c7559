"""The quote's pages: work, materials, price, what was assumed, cautions."""

from domain.money.quote import Quote
from domain.money.quote import quote as quoted
from storage.pack.pack_context import Pack
from storage.pack.pages import Column, Paper


def quote(pack: Pack, paper: Paper) -> None:
    """The quote as the customer reads it."""
    if pack.estimate is None:
        paper.words("No estimate was made for this build.")
        return
    said = quoted(pack.build, pack.sheet, pack.estimate, pack.date)
    for name, text in said.head:
        paper.words(f"{name}: {text}")
    paper.heading("What is included")
    _list(paper, said.included)
    paper.heading("Work")
    paper.table((Column("Operation"), Column("Hours", 45, 1)), said.work)
    _materials(paper, said)
    if said.price:
        paper.heading("Price")
        paper.table((Column(""), Column("", 45, 1, bold=True)), said.price)
        for sentence in said.missing:
            paper.words(sentence)
    for title, texts in (("What was assumed", said.assumed), ("Cautions", said.cautions)):
        paper.heading(title)
        _list(paper, texts)


def _list(paper: Paper, texts: tuple[str, ...]) -> None:
    for text in texts:
        paper.words(text, indent=5, mark="-")


def _materials(paper: Paper, said: Quote) -> None:
    paper.heading("Materials")
    priced = any(line.price for line in said.materials)
    columns = [Column("Item", most=6), Column("Size", 52), Column("Quantity", 28, 1)]
    rows = [(line.item, line.size or "-", line.quantity) for line in said.materials]
    if priced:
        columns.append(Column("Price", 32, 1))
        paper.table(
            tuple(columns),
            [(*row, line.price) for row, line in zip(rows, said.materials, strict=True)],
        )
    else:
        paper.table(tuple(columns), rows)
