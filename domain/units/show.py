"""Values as short text for tables, in inch or metric habit."""

import math
from collections.abc import Callable

from domain.build.choices import UnitHabit
from domain.units.table import INCH, POUND, SQUARE_FOOT, SQUARE_INCH


def format_quantity(kind: str, value: float | None, units: UnitHabit) -> str:
    """A value in the kind's base unit as short text for a table; ``None`` is "-".

    What is shown can be typed again and comes back within the rounding shown.
    """
    if value is None or not math.isfinite(value):
        return "-"
    return _FORMATS[kind](value, units == UnitHabit.INCH)


def trimmed(value: float, decimals: int) -> str:
    """A number with at most so many decimals and no trailing zeros; a half is rounded up."""
    # 6.35 lies just below itself in binary; the nudge makes 6.4 of it, as people do.
    text = f"{value * 1.000000000001:.{decimals}f}"
    if decimals:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def short_length(length_m: float, units: UnitHabit) -> str:
    """An allowance in a sentence; inches to the nearest quarter, as read off a tape."""
    if units == UnitHabit.INCH:
        return f"{round(length_m / INCH.factor * 4) / 4:g} in"
    return format_quantity("length", length_m, units)


def _length(value: float, inch: bool) -> str:
    if not inch:
        cm = trimmed(value * 100, 1)
        return f"{cm} cm" if abs(float(cm)) < 100 else f"{trimmed(value, 2)} m"
    inches = abs(value / INCH.factor)
    # Quarters of an inch are shown whole, for people read them off the tape.
    inches = round(inches, 2 if inches < 36 or (round(inches, 2) * 4).is_integer() else 1)
    sign = "-" if value < 0 and inches else ""
    if inches < 36:
        return f"{sign}{trimmed(inches, 2)} in"
    feet = int(inches // 12)
    rest = trimmed(inches - 12 * feet, 2)
    return f"{sign}{feet} ft" if rest == "0" else f"{sign}{feet} ft {rest} in"


def _small_length(value: float, inch: bool) -> str:
    return f"{trimmed(value / INCH.factor, 3)} in" if inch else f"{trimmed(value * 1000, 1)} mm"


def _power(value: float, inch: bool) -> str:
    watts = trimmed(value, 1 if abs(value) < 100 else 0)
    return f"{watts} W" if abs(float(watts)) < 1000 else f"{trimmed(value / 1000, 2)} kW"


def _current(value: float, inch: bool) -> str:
    size = abs(value)
    return f"{trimmed(value, 2 if size < 10 else 1 if size < 100 else 0)} A"


def _voltage(value: float, inch: bool) -> str:
    text = f"{value:.2f}"
    return "0.00 V" if text == "-0.00" else f"{text} V"


def _resistance(value: float, inch: bool) -> str:
    size = abs(value)
    if size >= 1:
        return f"{trimmed(value, 2)} ohm"
    return f"{trimmed(value * 1000, 2 if size < 0.1 else 1)} mohm"


def _mass(value: float, inch: bool) -> str:
    shown = value / POUND.factor if inch else value
    size = abs(shown)
    return f"{trimmed(shown, 3 if size < 1 else 2 if size < 10 else 1)} {'lb' if inch else 'kg'}"


def _area(value: float, inch: bool) -> str:
    if not inch:
        return f"{trimmed(value * 1e4, 1)} cm2" if abs(value) < 0.1 else f"{trimmed(value, 2)} m2"
    if abs(value) < SQUARE_FOOT.factor:
        return f"{trimmed(value / SQUARE_INCH.factor, 1)} sq in"
    return f"{trimmed(value / SQUARE_FOOT.factor, 2)} sq ft"


def _duration(value: float, inch: bool) -> str:
    if round(value, 2) < 60:
        return f"{trimmed(value, 2)} s"
    minutes = round(value / 60, 1)
    if minutes < 60:
        return f"{trimmed(minutes, 1)} min"
    hours, rest = divmod(round(value / 60), 60)
    return f"{hours} h" if not rest else f"{hours} h {rest} min"


_FORMATS: dict[str, Callable[[float, bool], str]] = {
    "length": _length,
    "small_length": _small_length,
    "power": _power,
    "current": _current,
    "voltage": _voltage,
    "resistance": _resistance,
    "capacity": lambda value, inch: f"{trimmed(value, 1)} Ah",
    "temperature": lambda value, inch: (
        f"{trimmed(value * 9 / 5 + 32, 0)} F" if inch else f"{trimmed(value, 0)} C"
    ),
    "mass": _mass,
    "angle": lambda value, inch: f"{trimmed(value, 1)} deg",
    "area": _area,
    "fraction": lambda value, inch: f"{trimmed(value * 100, 1)}%",
    "duration": _duration,
    "ratio": lambda value, inch: trimmed(value, 3),
    "price": lambda value, inch: f"{value + 0.0:.2f}".replace("-0.00", "0.00"),
    "percent": lambda value, inch: f"{trimmed(value, 3)}%",
    "count": lambda value, inch: trimmed(value, 0),
}
