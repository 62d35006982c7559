"""Kinds of quantity and the words of the trade for their units, with exact factors.

Inch, foot, yard, pound and ounce are exact by definition (NIST SP 811, appendix B).
"""

from msgspec import Struct


class UnitError(ValueError):
    """Text that is no such quantity or size; the message is for the user."""


class Unit(Struct, frozen=True):
    """A unit: ``base = (number - zero) * factor``; ``pint_name`` is what pint calls it."""

    pint_name: str
    factor: float
    zero: float = 0.0


class Kind(Struct, frozen=True):
    """A kind of quantity: how to speak of it, its base unit and the words taken for its units.

    ``bare`` and ``such_as`` hold the unit of a number without one and what may be typed, in
    inch and in metric habit. ``thousands``: three digits behind a comma are thousands.
    """

    a_kind: str
    base: str
    words: dict[str, Unit]
    bare: tuple[str, str]
    such_as: tuple[str, str]
    thousands: bool = False


def _words(*rows: tuple[Unit, str]) -> dict[str, Unit]:
    return {word.replace("_", " "): unit for unit, words in rows for word in words.split()}


INCH = Unit("inch", 0.0254)
FOOT = Unit("foot", 0.3048)
METRE = Unit("metre", 1.0)
CM = Unit("centimetre", 0.01)
SQUARE_INCH = Unit("inch ** 2", 0.00064516)
SQUARE_FOOT = Unit("foot ** 2", 0.09290304)
POUND = Unit("pound", 0.45359237)
MINUTE = Unit("minute", 60.0)
HOUR = Unit("hour", 3600.0)
KG = Unit("kilogram", 1.0)
OUNCE = Unit("ounce", 0.028349523125)
_WHOLE = Unit("dimensionless", 1.0)

_LENGTHS = _words(
    (INCH, 'in inch inches "'),
    (FOOT, "ft foot feet '"),
    (Unit("yard", 0.9144), "yd yard yards"),
    (METRE, "m metre metres meter meters"),
    (CM, "cm centimetre centimetres centimeter centimeters"),
    (Unit("millimetre", 0.001), "mm millimetre millimetres millimeter millimeters"),
)
_SMALL_LENGTHS = _LENGTHS | _words((Unit("thou", 0.0000254), "mil mils thou"))
"""Sheet and what is cut of it is measured in thousandths of an inch, too; no wire is."""

KINDS: dict[str, Kind] = {
    "length": Kind(
        "a length", "metre", _LENGTHS, ("in", "cm"), ("18 in, 3 ft 6 in or 1.5 m", "45 cm or 1.5 m")
    ),
    "small_length": Kind(
        "a length",
        "metre",
        _SMALL_LENGTHS,
        ("in", "mm"),
        ("0.25 in, 7/16 or 6.4 mm", "6.4 mm or 12 cm"),
    ),
    "power": Kind(
        "a power",
        "watt",
        _words(
            (Unit("watt", 1.0), "w watt watts rms wrms w_rms watts_rms"),
            (Unit("kilowatt", 1000.0), "k kw kilowatt kilowatts kw_rms"),
        ),
        ("w", "w"),
        ("500 W or 1.2 kW",) * 2,
        thousands=True,
    ),
    "current": Kind(
        "a current",
        "ampere",
        _words(
            (Unit("ampere", 1.0), "a amp amps ampere amperes cca"),
            (Unit("milliampere", 0.001), "ma milliamps"),
        ),
        ("a", "a"),
        ("80 A",) * 2,
        thousands=True,
    ),
    "voltage": Kind(
        "a voltage",
        "volt",
        _words(
            (Unit("volt", 1.0), "v volt volts vdc v_dc"),
            (Unit("millivolt", 0.001), "mv millivolts"),
        ),
        ("v", "v"),
        ("14.2 V or 350 mV",) * 2,
    ),
    "resistance": Kind(
        "a resistance",
        "ohm",
        _words(
            (Unit("milliohm", 0.001), "mohm mohms milliohm milliohms"),
            (Unit("microohm", 0.000001), "uohm uohms microohm microohms"),
            (Unit("ohm", 1.0), "ohm ohms"),
        ),
        ("mohm", "mohm"),
        ("0.42 mohm or 0.001 ohm",) * 2,
    ),
    "capacity": Kind(
        "a capacity",
        "ampere_hour",
        _words(
            (Unit("ampere_hour", 1.0), "ah a_h amp_hours amp_hour"),
            (Unit("milliampere_hour", 0.001), "mah"),
        ),
        ("ah", "ah"),
        ("65 Ah",) * 2,
        thousands=True,
    ),
    "capacitance": Kind(
        "a capacitance",
        "farad",
        _words(
            (Unit("farad", 1.0), "f farad farads"),
            (Unit("millifarad", 0.001), "mf millifarad millifarads"),
        ),
        ("f", "f"),
        ("1 F or 500 mF",) * 2,
    ),
    "temperature": Kind(
        "a temperature",
        "degC",
        _words(
            (Unit("degC", 1.0), "c °c degc deg_c celsius"),
            (Unit("degF", 5 / 9, 32.0), "f °f degf deg_f fahrenheit"),
            (Unit("kelvin", 1.0, 273.15), "k kelvin"),
        ),
        ("f", "c"),
        ("140 F or 60 C", "60 C or 140 F"),
    ),
    "mass": Kind(
        "a mass",
        "kilogram",
        _words(
            (POUND, "lb lbs pound pounds"),
            (OUNCE, "oz ounce ounces"),
            (KG, "kg kilo kilos"),
            (Unit("gram", 0.001), "g gram grams"),
        ),
        ("lb", "kg"),
        ("2 lb or 1.5 kg", "1.5 kg or 2 lb"),
    ),
    "angle": Kind(
        "an angle",
        "degree",
        _words((Unit("degree", 1.0), "deg degree degrees °")),
        ("deg", "deg"),
        ("90 deg",) * 2,
    ),
    "area": Kind(
        "an area",
        "metre ** 2",
        _words(
            (SQUARE_INCH, "in2 sq_in sqin"),
            (SQUARE_FOOT, "ft2 sq_ft sqft"),
            (Unit("millimetre ** 2", 0.000001), "mm2 sq_mm sqmm"),
            (Unit("centimetre ** 2", 0.0001), "cm2 sq_cm sqcm"),
            (Unit("metre ** 2", 1.0), "m2 sq_m sqm"),
        ),
        ("ft2", "m2"),
        ("2 sq ft or 24 sq in", "0.2 m2 or 150 cm2"),
    ),
    "fraction": Kind(
        "a share",
        "dimensionless",
        {**_words((Unit("percent", 0.01), "% percent")), "": _WHOLE},
        ("", ""),
        ("85% or 0.85",) * 2,
    ),
    "duration": Kind(
        "a time",
        "second",
        _words(
            (Unit("millisecond", 0.001), "ms millisecond milliseconds"),
            (Unit("second", 1.0), "s sec secs second seconds"),
            (MINUTE, "min mins minute minutes"),
            (HOUR, "h hr hrs hour hours"),
        ),
        ("min", "min"),
        ("10 min, 1 h 30 min or 45 s",) * 2,
    ),
    "price": Kind(
        "a price", "dimensionless", {"": _WHOLE}, ("", ""), ("12.50",) * 2, thousands=True
    ),
    "percent": Kind(
        "a percentage",
        "dimensionless",
        _words((_WHOLE, "% percent")) | {"": _WHOLE},
        ("", ""),
        ("8.5 or 8.5%",) * 2,
    ),
    "ratio": Kind("a number", "dimensionless", {"": _WHOLE}, ("", ""), ("2.5",) * 2),
    "count": Kind(
        "a count", "dimensionless", {"": _WHOLE}, ("", ""), ("4",) * 2, thousands=True
    ),
}  # fmt: skip
"""Every kind of quantity that Mainrun reads and shows."""

PAIRS = {
    HOUR: (MINUTE, 60.0),
    FOOT: (INCH, 12.0),
    METRE: (CM, 100.0),
    POUND: (OUNCE, 16.0),
}
"""Units that may be followed by a smaller one, and how many of the smaller make one."""
