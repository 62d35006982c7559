"""What the last part of a field's name says: the unit that its number is in, and its kind."""

from msgspec import Struct


class Suffix(Struct, frozen=True):
    """The unit as a file's schema says it, empty for what has none; kind of what is entered."""

    unit: str
    kind: str = ""


SUFFIXES: dict[str, Suffix] = {
    "m": Suffix("m", "length"),
    "w": Suffix("W", "power"),
    "a": Suffix("A", "current"),
    "v": Suffix("V", "voltage"),
    "ohm": Suffix("ohm", "resistance"),
    "ah": Suffix("Ah", "capacity"),
    "f": Suffix("F", "capacitance"),
    "c": Suffix("degrees Celsius", "temperature"),
    "kg": Suffix("kg", "mass"),
    "deg": Suffix("degrees", "angle"),
    "s": Suffix("s", "duration"),
    "percent": Suffix("percent", "percent"),
    "ratio": Suffix("", "ratio"),
    "price": Suffix("", "price"),
    "m2": Suffix("m2"),
    "mm2": Suffix("mm2"),
    "pa": Suffix("Pa"),
    "n": Suffix("N"),
    "nm": Suffix("N m"),
    "hz": Suffix("Hz"),
}
"""Every suffix of a field that was entered or worked out."""


def unit_of(name: str) -> str:
    """The unit of a field, from the last part of its name; empty where it has none."""
    stem, _, last = name.rpartition("_")
    return SUFFIXES[last].unit if stem and last in SUFFIXES else ""
