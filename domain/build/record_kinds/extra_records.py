"""What goes on the bill of materials beside all that follows from the plan."""

from enum import StrEnum
from typing import Annotated

from domain.document.declared import About, Kind, Name, Short, Through
from domain.document.records import Record

GROUPS = (
    "Wire",
    "Terminals",
    "Heat-shrink",
    "Fuses",
    "Holders",
    "Blocks",
    "Switching",
    "Audio cable",
    "Ground hardware",
    "Loom",
    "Grommets",
    "Clamps",
    "Fasteners",
    "Sheet",
    "Consumables",
)
"""Groups of the bill of materials, in its order."""


def _known_group(group: str) -> str:
    found = {known.casefold(): known for known in GROUPS}.get(group.strip().casefold())
    if found is None:
        raise ValueError(f"must be one of {', '.join(GROUPS)}")
    return found


GroupName = Annotated[
    Short,
    Through(_known_group),
    Kind("choice", "type the start of one, as Wire or Fuses", GROUPS),
]


class PackUnit(StrEnum):
    """What a pack is counted in."""

    EACH = "each"
    METRE = "m"
    FOOT = "ft"
    SQUARE_METRE = "m2"
    SQUARE_FOOT = "sq ft"

    @property
    def base(self) -> tuple[str, float]:
        """The unit of the bill of materials that it counts in, and how much of it one is."""
        return {
            PackUnit.EACH: ("each", 1.0),
            PackUnit.METRE: ("m", 1.0),
            PackUnit.FOOT: ("m", 0.3048),
            PackUnit.SQUARE_METRE: ("m2", 1.0),
            PackUnit.SQUARE_FOOT: ("m2", 0.3048**2),
        }[self]


class Extra(Record, frozen=True):
    """A thing on the bill of materials that no rule of the plan asks for."""

    name: Annotated[Name, About("Item", "what it is; the shop's item of this name serves it")] = ""
    quantity: Annotated[
        float,
        Kind("number", "type how many, or how much, as 4 or 7.5"),
        About("How much", "how much of it, in its unit", gt=0, le=1e5),
    ] = 1
    unit: Annotated[PackUnit, About("Unit", "what it is counted in")] = PackUnit.EACH
    group: Annotated[GroupName, About("Group", "group of the bill of materials")] = "Consumables"
    kit: Annotated[Name, About("Kit", "the shop's kit that it came with")] = ""

    def wrong(self) -> str:
        """A part of a thing that is counted."""
        if self.unit is PackUnit.EACH and not float(self.quantity).is_integer():
            return "a quantity of things that are counted must be a whole number"
        return ""
