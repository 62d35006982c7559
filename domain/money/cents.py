"""Money: exact decimals, rounded half up to cents, as a till does."""

from decimal import ROUND_HALF_UP, Context, Decimal

CENT = Decimal("0.01")
HUNDREDTH = Decimal("0.01")
NOTHING = Decimal("0.00")

_SURE = Context(prec=24)
"""Of the 28 digits of a decimal, the last ones may have been cut off by a division."""


def cents(amount: Decimal) -> Decimal:
    """An amount rounded half up to cents."""
    return _SURE.plus(amount).quantize(CENT, ROUND_HALF_UP)


def exact(number: float) -> Decimal:
    """The decimal that a figure was typed as: 0.1 is one tenth, not its binary neighbour."""
    return Decimal(repr(float(number)))


def hours(minutes: Decimal) -> Decimal:
    """Minutes as hours, rounded half up to hundredths, as they are printed."""
    return (minutes / 60).quantize(HUNDREDTH, ROUND_HALF_UP)


def price_text(amount: Decimal | None, currency: str) -> str:
    """An amount with its currency before it and two decimals; ``None`` is "-"."""
    if amount is None:
        return "-"
    return f"{currency} {amount:.2f}".strip()
