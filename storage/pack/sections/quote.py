"""The quote's page: work, materials, price, what was assumed, cautions."""

from decimal import Decimal

from domain.money.cents import price_text
from domain.money.estimate import Estimate
from domain.money.quote import price_block
from domain.unit_format import trimmed
from storage.pack.packed import Pack
from storage.pack.paper import Column, Paper


def quote(pack: Pack, paper: Paper) -> None:
    """The estimate as the customer reads it; no amount is printed that is not known."""
    estimate = pack.estimate
    if estimate is None:
        paper.words("No estimate was made for this build.")
        return
    header = pack.build.header
    for name, said in (("For", header.customer), ("Vehicle", header.vehicle), ("Date", pack.date)):
        if said:
            paper.words(f"{name}: {said}")
    _work(pack, paper, estimate)
    _materials(pack, paper, estimate)
    _price(pack, paper, estimate)
    for title, texts in (
        ("What was assumed", estimate.assumptions),
        ("Cautions", pack.sheet.cautions),
    ):
        paper.heading(title)
        for text in texts:
            paper.words(text, indent=5, mark="-")


def _work(pack: Pack, paper: Paper, estimate: Estimate) -> None:
    paper.heading("What is included")
    for amplifier in pack.sheet.amplifiers:
        rated = pack.show("power", amplifier.rated_w)
        paper.words(f"{amplifier.name}: {rated} rated, mounted and fed", indent=5, mark="-")
    for part in pack.sheet.parts:
        text = f"Custom part: {part.name or part.id}, {part.material}, {part.quantity} off"
        paper.words(text, indent=5, mark="-")
    paper.table(
        (
            Column("Work"),
            Column("Times", 24, 1),
            Column("Hours", 18, 1),
            Column("Price", 32, 1),
        ),
        [
            *(
                (
                    line.operation,
                    f"{trimmed(float(line.count), 2)}{' m' if line.per == 'm' else ''}",
                    f"{line.hours:.2f}",
                    _amount(pack, line.price),
                )
                for line in estimate.lines
            ),
            (
                f"Together, finish: {pack.build.header.finish.value}",
                "",
                f"{estimate.hours:.2f}",
                "",
            ),
        ],
    )


def _materials(pack: Pack, paper: Paper, estimate: Estimate) -> None:
    paper.heading("Materials")
    paper.table(
        (
            Column("Item", most=6),
            Column("Size", 52),
            Column("Quantity", 28, 1),
            Column("Price", 32, 1),
        ),
        [
            (
                line.matched.line.item,
                line.matched.line.size or "-",
                pack.amount(line.matched.line, line.matched.line.quantity),
                "not priced" if line.price is None else _amount(pack, line.price),
            )
            for line in estimate.materials_lines
        ],
    )


def _price(pack: Pack, paper: Paper, estimate: Estimate) -> None:
    rows, missing = price_block(pack.build, estimate)
    if not rows:
        return
    paper.heading("Price")
    paper.table((Column(""), Column("", 45, 1, bold=True)), rows)
    for sentence in missing:
        paper.words(sentence)


def _amount(pack: Pack, amount: Decimal | None) -> str:
    return price_text(amount, pack.build.header.currency)
