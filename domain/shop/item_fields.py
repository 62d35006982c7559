"""One field of an item of the catalogue: what may be typed, how it is shown, what it is.

Titles and limits are those of ``CatalogueItem``; numbers are read as in its CSV file.
"""

from pydantic import ValidationError

from domain.build.edits import Scalar, sentence
from domain.csv_cells import number, plain
from domain.materials.takeoff import GROUPS
from domain.shop.catalogue import MOST_PRICE, CatalogueItem, PackUnit
from domain.shop.shop import item_record

CHOICES: dict[str, tuple[str, ...]] = {"group": GROUPS, "unit": tuple(PackUnit)}
"""Fields that take one of a list."""

_NUMBERS = ("pack", "price", "on_shelf")
_EMPTY = ("", "-", "none")
_SUCH_AS = {
    "pack": "type how much one pack holds, as 25 or 7.5; of things that are counted a whole number",
    "price": f"type 12.50 or 12,50, at most {MOST_PRICE}; empty: not known",
    "on_shelf": "type how much is in stock, in the unit beside it",
    "item_rule": "type how the item of a line of materials begins; empty: any of the group",
    "size_rule": "type how the size of a line of materials begins; empty: any size",
}


def show_item(item: CatalogueItem, field: str) -> str:
    """A field as plain text; a price that is not known is "-"."""
    value = getattr(item, field)
    if field == "price":
        return "-" if value is None else f"{value:f}"
    return plain(value) if field in _NUMBERS else str(value)


def describe_item(field: str) -> str:
    """One line of help: what the field is and what may be typed."""
    info = CatalogueItem.model_fields[field]
    about = f"{info.title}: {info.description}"
    if field in CHOICES:
        return f"{about}; type the start of {', '.join(CHOICES[field])}"
    return f"{about}; {_SUCH_AS[field]}" if field in _SUCH_AS else about


def parse_item(item: CatalogueItem, field: str, text: str) -> Scalar:
    """The value of typed text, fit for ``SetField``; ``ValueError`` says what would do."""
    typed = text.strip()
    value: Scalar = typed
    if field in CHOICES:
        value = _choice(field, typed)
    elif field == "price":
        value = None if typed.casefold() in _EMPTY else f"{number(typed):f}"
    elif field in _NUMBERS:
        value = float(number(typed))
    try:
        taken = CatalogueItem.model_validate({**item_record(item), field: value})
    except ValidationError as error:
        raise ValueError(f"{sentence(error)}. {describe_item(field)}") from None
    return item_record(taken)[field]


def _choice(field: str, typed: str) -> str:
    wanted = typed.casefold()
    options = CHOICES[field]
    exact = [option for option in options if option.casefold() == wanted]
    found = exact or [o for o in options if wanted and o.casefold().startswith(wanted)]
    if len(found) == 1:
        return str(found[0])
    said = f"{typed!r} could be {', '.join(found)}" if found else f"{typed!r} is not one of them"
    raise ValueError(f"{said}; type the start of {', '.join(options)}")
