"""The quote: the estimate as plain text that the customer can read."""

import textwrap
from decimal import Decimal

from domain.build import Build
from domain.money.cents import price_text
from domain.money.estimate import Estimate
from domain.sheet import MaterialLine, Sheet
from domain.unit_format import format_quantity, trimmed

WIDTH = 78
"""Columns of the text."""

_WORK = {
    "Wiring": ("run_main", "run_branch", "terminate", "grommet", "fuse", "block", "ground"),
    "Mounting": ("amplifier", "battery"),
    "Custom parts": ("part", "panel", "bend", "hole", "fit_part"),
    "Preparing, measuring and handing over": ("prepare", "open", "measure", "prove", "paperwork"),
}
"""What a customer is told of the operations: heading -> names."""


def quote_text(build: Build, sheet: Sheet, estimate: Estimate, dated: str = "") -> str:
    """A quote: what is included, the price if there is one, cautions, and what was assumed.

    ``dated`` is printed as it is given. No amount is printed that is not known; where some are
    missing, the total says so. Plain text of 78 columns.
    """
    header = build.header
    lines = [f"QUOTE: {header.title}"]
    for what, text in (
        ("For", header.customer),
        ("Vehicle", header.vehicle),
        ("Date", dated),
    ):
        if text:
            lines.append(f"{what}: {text}")
    lines += ["", "WHAT IS INCLUDED", ""]
    lines += _included(build, sheet, estimate)
    lines += ["", "MATERIALS", ""]
    lines += _materials(build, estimate)
    rows, missing = price_block(build, estimate)
    if rows:
        lines += ["", "PRICE", "", *(_row(*row) for row in rows), *missing]
    lines += ["", "WHAT WAS ASSUMED", ""]
    lines += [_bullet(text) for text in estimate.assumptions]
    lines += ["", "CAUTIONS", ""]
    lines += [_bullet(text) for text in sheet.cautions]
    return "\n".join(wrapped for line in lines for wrapped in _wrapped(line)) + "\n"


def price_block(build: Build, estimate: Estimate) -> tuple[list[tuple[str, str]], list[str]]:
    """Rows of the price (what, amount), and sentences on what is not in it.

    None of either where nothing has a price.
    """
    if estimate.total is None:
        return [], []
    header = build.header
    rows = []
    if estimate.labour is not None:
        rows.append((f"Labour, {estimate.hours:.2f} h", _amount(build, estimate.labour)))
    if estimate.materials is not None:
        rows.append(("Materials", _amount(build, estimate.materials)))
    if header.tax_percent and estimate.tax is not None:
        rows.append((f"Tax, {header.tax_percent:g} %", _amount(build, estimate.tax)))
    name = "Total" if estimate.complete else "Total of what has a price"
    rows.append((name, _amount(build, estimate.total)))
    missing = []
    if estimate.labour is None:
        missing.append("Labour is not in the total.")
    if estimate.unpriced == 1:
        missing.append("1 line of materials has no price and is not in the total.")
    elif estimate.unpriced:
        missing.append(
            f"{estimate.unpriced} lines of materials have no price and are not in the total."
        )
    return rows, missing


def _included(build: Build, sheet: Sheet, estimate: Estimate) -> list[str]:
    finish = build.header.finish.value
    found = [
        _bullet(f"{amplifier.name}: {amplifier.rated_w:g} W rated, mounted and fed")
        for amplifier in sheet.amplifiers
    ]
    found += [
        _bullet(f"custom part: {part.name or part.id}, {part.material}, {part.quantity} off")
        for part in sheet.parts
    ]
    hours = {line.name: line.hours for line in estimate.lines}
    for heading, names in _WORK.items():
        total = sum((hours.get(name, Decimal(0)) for name in names), Decimal(0))
        if total:
            found.append(_row(heading, f"{total:.2f} h"))
    found.append(_row(f"Hours together, finish: {finish}", f"{estimate.hours:.2f} h"))
    return found


def _materials(build: Build, estimate: Estimate) -> list[str]:
    found = []
    for line in estimate.materials_lines:
        what = f"{_quantity(build, line.matched.line)}  {line.matched.line.item}"
        if line.matched.line.size:
            what += f", {line.matched.line.size}"
        price = ""
        if estimate.materials is not None:
            price = "not priced" if line.price is None else _amount(build, line.price)
        found.append(_row(what, price))
    return found or ["none"]


def _quantity(build: Build, line: MaterialLine) -> str:
    if line.unit == "m":
        return format_quantity("length", line.quantity, build.header.units)
    if line.unit == "m2":
        return format_quantity("area", line.quantity, build.header.units)
    return f"{trimmed(line.quantity, 2)} x"


def _amount(build: Build, amount: Decimal | None) -> str:
    return price_text(amount, build.header.currency)


def _row(what: str, amount: str) -> str:
    """A text and an amount at the right edge; the amount goes below where there is no room."""
    if not amount:
        return what
    if len(what) + len(amount) + 2 > WIDTH:
        return f"{what}\n{amount:>{WIDTH}}"
    return f"{what}{amount:>{WIDTH - len(what)}}"


def _bullet(text: str) -> str:
    return f"- {text}"


def _wrapped(text: str) -> list[str]:
    found: list[str] = []
    for line in text.split("\n"):
        if len(line) <= WIDTH:
            found.append(line)
        else:
            indent = "  " if line.startswith("- ") else ""
            found += textwrap.wrap(line, WIDTH, subsequent_indent=indent)
    return found
