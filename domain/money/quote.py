"""The quote: what the customer is told, once, for paper and for the screen."""

from collections.abc import Iterator
from decimal import Decimal

from msgspec import Struct

from domain.build.records import Build
from domain.money.cents import price_text
from domain.money.estimate import Estimate
from domain.money.included import included
from domain.sheet import MaterialLine, Sheet
from domain.units.show import format_amount

_WORK = {
    "Wiring": ("run_main", "run_branch", "terminate", "grommet", "fuse", "block", "ground"),
    "Mounting": ("amplifier", "appliance", "battery"),
    "Custom parts": ("part", "panel", "bend", "hole", "fit_part"),
    "Preparing, measuring and handing over": ("prepare", "open", "measure", "prove", "paperwork"),
}
"""What a customer is told of the operations: heading -> names."""


class QuotedMaterial(Struct, frozen=True):
    """One line of materials in words. ``price`` is empty where no material has one."""

    item: str
    size: str
    quantity: str
    price: str


class Quote(Struct, frozen=True):
    """A quote in words, part by part. No amount is in it that is not known.

    ``head`` says for whom and when, ``work`` heading and hours, ``price`` what and amount (empty
    where nothing has a price), ``missing`` what is not in the total.
    """

    title: str
    head: tuple[tuple[str, str], ...]
    included: tuple[str, ...]
    work: tuple[tuple[str, str], ...]
    materials: tuple[QuotedMaterial, ...]
    price: tuple[tuple[str, str], ...]
    missing: tuple[str, ...]
    assumed: tuple[str, ...]
    cautions: tuple[str, ...]


def quote(build: Build, sheet: Sheet, estimate: Estimate, dated: str = "") -> Quote:
    """The quote of a build; ``dated`` is printed as it is given."""
    header = build.header
    head = (("For", header.customer), ("Vehicle", header.vehicle), ("Date", dated))
    price, missing = _price(build, estimate)
    return Quote(
        title=header.title,
        head=tuple((what, text) for what, text in head if text),
        included=tuple(included(build, sheet)),
        work=tuple(_work(build, estimate)),
        materials=tuple(_materials(build, estimate)),
        price=price,
        missing=missing,
        assumed=estimate.assumptions,
        cautions=sheet.cautions,
    )


def _work(build: Build, estimate: Estimate) -> Iterator[tuple[str, str]]:
    hours = {line.name: line.hours for line in estimate.lines}
    for heading, names in _WORK.items():
        total = sum((hours.get(name, Decimal(0)) for name in names), Decimal(0))
        if total:
            yield heading, f"{total:.2f} h"
    yield f"Hours together, finish: {build.header.finish.value}", f"{estimate.hours:.2f} h"


def _materials(build: Build, estimate: Estimate) -> Iterator[QuotedMaterial]:
    for priced in estimate.materials_lines:
        line = priced.matched.line
        price = ""
        if estimate.materials is not None:
            price = "not priced" if priced.price is None else _amount(build, priced.price)
        yield QuotedMaterial(line.item, line.size, _quantity(build, line), price)


def _price(build: Build, estimate: Estimate) -> tuple[tuple[tuple[str, str], ...], tuple[str, ...]]:
    """Rows of the price, and sentences on what is not in it."""
    if estimate.total is None:
        return (), ("No price is entered yet.",)
    header = build.header
    rows = []
    if estimate.labour is not None:
        rows.append((f"Labor, {estimate.hours:.2f} h", _amount(build, estimate.labour)))
    if estimate.materials is not None:
        rows.append(("Materials", _amount(build, estimate.materials)))
    if header.tax_percent and estimate.tax is not None:
        rows.append((f"Tax, {header.tax_percent:g} %", _amount(build, estimate.tax)))
    name = "Total" if estimate.complete else "Total of what has a price"
    rows.append((name, _amount(build, estimate.total)))
    missing = []
    if estimate.labour is None:
        missing.append("Labor is not in the total.")
    if estimate.unpriced == 1:
        missing.append("1 line of materials has no price and is not in the total.")
    elif estimate.unpriced:
        missing.append(
            f"{estimate.unpriced} lines of materials have no price and are not in the total."
        )
    return tuple(rows), tuple(missing)


def _quantity(build: Build, line: MaterialLine) -> str:
    return format_amount(line.quantity, line.unit, build.header.units)


def _amount(build: Build, amount: Decimal | None) -> str:
    return price_text(amount, build.header.currency)
