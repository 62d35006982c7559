"""Text to quantities and back: what an installer types, what a table shows.

The words of the trade stand in a small table with exact factors, so that neither showing nor
typing them waits for pint; pint reads every other unit, of lengths none, and knows what a wrong
one measures.
Only a bare unit word ever reaches pint, never an expression.

Values are SI floats, but as the records name them: degrees Celsius, degrees of angle, ampere
hours. Both decimal marks are read. ``1,500`` could be either: with power, current, capacity
and counts the comma parts thousands, with everything else it is a decimal comma.
"""

import math
import re
from functools import lru_cache
from typing import Any

from domain.patterns import Pattern
from domain.units.gauges import format_gauge, parse_gauge
from domain.units.habit import UnitHabit
from domain.units.show import format_quantity
from domain.units.unit_table import KINDS, PAIRS, Kind, Unit, UnitError
from domain.visible_text import visible

__all__ = [
    "KINDS",
    "UnitError",
    "format_gauge",
    "format_quantity",
    "parse_gauge",
    "parse_quantity",
]

LONGEST = 60
"""Characters that one quantity may have."""

_SAME = str.maketrans(
    {
        **dict.fromkeys("″“”„‟", '"'),
        **dict.fromkeys("′’‘‛`´", "'"),
        **dict.fromkeys("\u2212\u2010\u2011\u2012\u2013", "-"),
        **dict.fromkeys("\u00a0\u2007\u2009\u202f", " "),
        **dict.fromkeys("⁄∕", "/"),
        **dict.fromkeys("º˚", "°"),
        **dict.fromkeys("\u00b5\u03bc", "u"),
        **dict.fromkeys("\u03a9\u2126", "ohm"),
        "²": "^2",
        "℃": "°C",
        "℉": "°F",
        "½": " 1/2",
        "¼": " 1/4",
        "¾": " 3/4",
        "⅛": " 1/8",
        "⅜": " 3/8",
        "⅝": " 5/8",
        "⅞": " 7/8",
    }
)
_NUMBER = r"(?:[0-9]+[ -]+[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9][0-9.,]*|[.,][0-9]+)"
_UNIT = r"[\"'%°]|°?[A-Za-z]+(?: [A-Za-z]+)?(?:\^?[23](?![0-9]))?"
_QUANTITY = Pattern(
    rf"([+-]?) ?({_NUMBER}) ?({_UNIT})?\.?(?: ?-? ?({_NUMBER}) ?({_UNIT})?\.?)?", re.ASCII
)
_GROUPED = Pattern(r"[1-9][0-9]{0,2}(?:([.,])[0-9]{3})(?:\1[0-9]{3})*", re.ASCII)
_EXPONENT = Pattern(r"[+-]? ?[0-9.,]+e[+-]?[0-9]", re.ASCII | re.IGNORECASE)


def parse_quantity(kind: str, text: str, units: UnitHabit) -> float:
    """The value of typed text, in the kind's base unit (m, W, A, V, ohm, Ah, C, kg, deg, m2, 1).

    A bare number takes the unit that the habit shows; a bare fraction of a length is inches in
    both habits, as nobody writes 7/16 of a millimetre. A bare share above 1 is percent.
    ``UnitError`` says what was wrong and what would do. ``KeyError`` if there is no such kind.
    """
    wanted = KINDS[kind]
    habit = _habit(units)
    tidy = _tidy(text)
    if not tidy or len(text) > LONGEST:
        said = f"{len(text)} characters are too many" if tidy else "nothing was typed"
        raise UnitError(f"{said}; {_wanted(wanted, habit)}")
    match = _QUANTITY.fullmatch(tidy)
    if match is None:
        raise UnitError(f"{_quoted(text)} cannot be read; {_wanted(wanted, habit)}")
    sign, number, word, less, less_word = match.groups()
    bare = wanted.bare[habit]
    if word is None and "/" in number and wanted.base == "metre":
        bare = "in"
    try:
        if _EXPONENT.match(tidy):
            raise UnitError("has an exponent: write the number in full")
        turned = -1.0 if sign == "-" else 1.0
        unit = _unit(kind, word or bare)
        value = (turned * _number(number, wanted.thousands) - unit.zero) * unit.factor
        if less is not None:
            value += turned * _smaller(kind, unit if word else None, less, less_word)
    except UnitError as error:
        raise UnitError(f"{_quoted(text)} {error}; {_wanted(wanted, habit)}") from None
    if kind == "fraction" and word is None and value > 1:
        value /= 100
    if kind == "count" and value != int(value):
        raise UnitError(f"{_quoted(text)} is no whole number; {_wanted(wanted, habit)}")
    # Twelve digits keep every figure anyone measured and drop the noise of binary factors.
    return float(f"{value:.12g}") + 0.0


def _habit(units: UnitHabit) -> int:
    return 0 if units == UnitHabit.INCH else 1


def _wanted(kind: Kind, habit: int) -> str:
    return f"{kind.a_kind} is wanted, such as {kind.such_as[habit]}"


def _quoted(text: str) -> str:
    shown = visible(text.strip())
    return f"'{shown}'" if len(shown) <= 30 else f"'{shown[:27]}...'"


def _tidy(text: str) -> str:
    if not text.isascii():
        text = text.translate(_SAME)
    return " ".join(text.replace("''", '"').split())


def _number(text: str, thousands: bool) -> float:
    """A decimal number or a fraction; ``UnitError`` where the marks make no sense."""
    if "/" in text:
        whole, _, part = text.replace("-", " ").rpartition(" ")
        above, below = part.split("/")
        if not int(below):
            raise UnitError("divides by zero")
        return int(whole or 0) + int(above) / int(below)
    if not ("," in text or text.count(".") > 1):
        return float(text)
    head, mark, tail = text.rpartition("," if text.rfind(",") > text.rfind(".") else ".")
    grouped = _GROUPED.fullmatch(text)
    if grouped and (thousands or text.count(mark) > 1):
        return float(text.replace(mark, ""))
    if text.count(mark) == 1 and (not head or head.isdigit() or _GROUPED.fullmatch(head)):
        return float(f"{re.sub('[.,]', '', head)}.{tail or 0}")
    raise UnitError("has its commas and points in odd places")


def _smaller(kind: str, unit: Unit | None, number: str, word: str | None) -> float:
    """The second part of 3 ft 6 in, in the kind's base unit; its unit may be left out."""
    if unit not in PAIRS:
        raise UnitError("has two numbers that do not belong together")
    smaller, least = PAIRS[unit]
    if word is not None and _unit(kind, word) != smaller:
        raise UnitError(f"puts {word} after {unit.pint_name}, not {smaller.pint_name}")
    value = _number(number, thousands=False)
    if value >= least:
        raise UnitError(f"has {value:g} {smaller.pint_name} where under {least:g} can be")
    return value * smaller.factor


def _unit(kind: str, word: str) -> Unit:
    key = word.replace("^", "")
    # A capital M before ohm is mega: a thousand million times what lower case would make of it.
    key = key if key.startswith("Mohm") else key.lower()
    found = KINDS[kind].words.get(key)
    if found is not None:
        return found
    if kind == "temperature" and key in ("deg", "°"):
        raise UnitError("does not say whether degrees are F or C")
    for other in KINDS.values():
        if key in other.words:
            alike = other.a_kind == KINDS[kind].a_kind
            raise _odd_length(word) if alike else UnitError(f"is {other.a_kind}")
    if any(known.startswith(key) for known in KINDS[kind].words):
        # A word half typed, read at every key: not worth the wait for pint.
        raise _unknown(word)
    return _pint_unit(kind, word)


def _unknown(word: str) -> UnitError:
    return UnitError(f"has a unit that is not known here, {visible(word)}")


def _odd_length(word: str) -> UnitError:
    """A unit of length that nobody measures a vehicle with: as like as not another was meant."""
    return UnitError(f"is in {visible(word)}: lengths are taken in m, cm, mm, in, ft and yd")


@lru_cache(maxsize=256)
def _pint_unit(kind: str, word: str) -> Unit:
    """A unit that is not in the table, as pint knows it."""
    name, power = (word[:-1].rstrip("^"), word[-1]) if word[-1] in "23" else (word, "1")
    if not (name.isascii() and name.isalpha()):
        raise _unknown(word)
    registry, errors = _pint()
    try:
        unit = registry.Unit(name) ** int(power)
        base = registry.Unit(KINDS[kind].base)
        if KINDS[kind].base == "dimensionless":
            raise _unknown(word)
        if unit.dimensionality == base.dimensionality:
            if KINDS[kind].base == "metre":
                raise _odd_length(word)
            at = [float(registry.Quantity(x, unit).to(base).magnitude) for x in (0.0, 1.0, 2.0)]
            factor = at[1] - at[0]
            if not math.isclose(at[2] - at[1], factor, rel_tol=1e-9) or not factor:
                raise _unknown(word)
            return Unit(name, factor, -at[0] / factor)
        for other in KINDS.values():
            if registry.Unit(other.base).dimensionality == unit.dimensionality:
                raise UnitError(f"is {other.a_kind}")
    except UnitError:
        raise
    except errors:
        raise _unknown(word) from None
    raise UnitError(f"is measured in {unit}")


@lru_cache(maxsize=1)
def _pint() -> tuple[Any, tuple[type[Exception], ...]]:
    import pint

    # pint's tokenizer lets some words through to errors of its own making.
    errors = (pint.PintError, AttributeError, TypeError, ValueError, SyntaxError, OverflowError)
    return pint.UnitRegistry(), tuple(errors)
