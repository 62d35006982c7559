"""How the fields of an entry are declared: with their type, a title, what they are, and limits.

``capacity_ah: Annotated[float, About("Capacity", "at 20 h", gt=0, le=5000)] = 70`` is all there is
to say: forms, help, tables, checks and the JSON Schema are made from that line.
"""

from collections.abc import Callable
from decimal import Decimal
from functools import cache
from inspect import get_annotations
from math import inf
from typing import Annotated, Any, get_args

from msgspec import NODEFAULT, Meta, Struct

from domain.visible_text import visible


class BadEntry(ValueError):
    """Values that no entry can have; the message is a sentence for the user.

    ``details`` tell each of them: "loc", "input", "msg", "type" and "ctx", as pydantic has them.
    """

    def __init__(self, sentence: str, details: list[dict[str, Any]]) -> None:
        super().__init__(sentence)
        self.details = details


class About(Struct, frozen=True):
    """What a field is called and what it is; its limits, in the unit of the field."""

    title: str
    description: str
    gt: float | None = None
    ge: float | None = None
    lt: float | None = None
    le: float | None = None

    def limits(self) -> tuple[tuple[str, float], ...]:
        """Its limits as (gt, ge, lt or le, value)."""
        given = ((bound, getattr(self, bound)) for bound in ("gt", "ge", "lt", "le"))
        return tuple((bound, limit) for bound, limit in given if limit is not None)


class Kind(Struct, frozen=True):
    """What kind of field it is, where its type and the suffix of its name do not say so.

    ``name`` is a kind of quantity, or "number", "money", "choice", "gauge" or "reference";
    ``options`` are the values of a choice that is no enumeration; ``typed`` says what may be
    typed, as a part of a sentence.
    """

    name: str
    typed: str = ""
    options: tuple[str, ...] = ()


class Through(Struct, frozen=True):
    """A text is kept as this function gives it back; ``ValueError`` says why it is not taken."""

    function: Callable[[str], str]


class Places(Struct, frozen=True):
    """An exact decimal has at most so many decimal places."""

    most: int


END = r"\Z"
"""The end of a text in a pattern: ``$`` would let a line feed pass behind it."""

Id = Annotated[str, Meta(pattern=rf"^[a-z]+[0-9]+{END}", max_length=12)]
Ref = Annotated[str, Meta(pattern=rf"^([a-z]+[0-9]+)?{END}", max_length=12), Kind("reference")]
Name = Annotated[str, Meta(max_length=500), Through(visible)]
Short = Annotated[str, Meta(max_length=60), Through(visible)]
Drawn = Annotated[float, Kind("small_length")]
"""A length that is given in millimetres or decimal inches, as on a drawing [m]."""
_AWG = r"AWG ([1-4]/0|[1-9]|1[0-9]|2[0-4])"
_SECTION = r"(0\.[1-9][0-9]?|[1-9][0-9]{0,2}(\.[0-9]{1,2})?) mm2"
Gauge = Annotated[str, Meta(pattern=f"^({_AWG}|{_SECTION}){END}"), Kind("gauge")]
"""A wire size: AWG 4/0 to 24, or a section of 0.1 to 999.99 mm2."""


class Declared(Struct, frozen=True):
    """A field as it is declared. ``default`` is ``REQUIRED`` where it must be given."""

    name: str
    hint: Any
    """The type with all that is said beside it."""
    about: About
    types: tuple[Any, ...]
    """The types that a value may be of."""
    marks: tuple[object, ...]
    """What is said beside the type and beside each type that it may be."""
    default: Any


REQUIRED = NODEFAULT

Rule = Callable[[Any], bool]
"""Whether a value of the right type may stand as it is."""


@cache
def declared(kind: type[Struct]) -> dict[str, Declared]:
    """The fields of an entry by their names, in their order."""
    hints: dict[str, Any] = {}
    for each in reversed(kind.__mro__):
        hints |= get_annotations(each)
    names, defaults = kind.__struct_fields__, kind.__struct_defaults__
    required = len(names) - len(defaults)
    found = {}
    for name, default in zip(names, (*(REQUIRED,) * required, *defaults), strict=True):
        types: list[Any] = []
        marks: list[object] = []
        _take_apart(hints[name], types, marks)
        about = next((mark for mark in marks if isinstance(mark, About)), About(name, ""))
        found[name] = Declared(name, hints[name], about, tuple(types), tuple(marks), default)
    return found


def _take_apart(hint: Any, types: list[Any], marks: list[object]) -> None:
    """The types that a value may be of, and what is said beside them."""
    said = getattr(hint, "__metadata__", None)
    if said is not None:
        marks += said
        _take_apart(hint.__origin__, types, marks)
    elif isinstance(hint, type) or not (ways := get_args(hint)):
        types.append(hint)
    else:
        for way in ways:
            _take_apart(way, types, marks)


@cache
def rules(kind: type[Struct]) -> dict[str, Rule]:
    """What the values of an entry must keep to, beside their types, by field."""
    found = ((name, _rule(each)) for name, each in declared(kind).items())
    return {name: rule for name, rule in found if rule is not None}


def _rule(field: Declared) -> Rule | None:
    functions = [mark.function for mark in field.marks if isinstance(mark, Through)]
    if functions:
        return lambda text: text is None or all(_unchanged(text, each) for each in functions)
    if Decimal in field.types:
        places = next((mark.most for mark in field.marks if isinstance(mark, Places)), None)
        return lambda value: value is None or _exact(value, field.about, places)
    if float in field.types or (int in field.types and field.about.limits()):
        return _within(field.about)
    return None


def _unchanged(text: str, function: Callable[[str], str]) -> bool:
    try:
        return function(text) == text
    except ValueError:
        return False


def _within(about: About) -> Rule:
    gt, ge, lt, le = about.gt, about.ge, about.lt, about.le

    def fits(value: Any) -> bool:
        return value is None or (
            -inf < value < inf
            and (ge is None or value >= ge)
            and (gt is None or value > gt)
            and (le is None or value <= le)
            and (lt is None or value < lt)
        )

    return fits


def _exact(value: Decimal, about: About, places: int | None) -> bool:
    if not value.is_finite() or not _within(about)(value):
        return False
    exponent = value.as_tuple().exponent
    return places is None or (isinstance(exponent, int) and -exponent <= places)
