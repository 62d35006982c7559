"""The way through the vehicle: its places, named once, and the sections that join them."""

from enum import StrEnum
from typing import Annotated

from domain.build.choices import Cover
from domain.document.declared import About, Name, Ref
from domain.document.records import Record


class PanelHole(StrEnum):
    """How wires go through a panel of the vehicle."""

    UNKNOWN = "not told"
    NEW = "new hole, grommet"
    FACTORY = "factory grommet"
    BARE = "no grommet"


class RoutePlace(Record, frozen=True):
    """A place of this vehicle that wires end at or go through: battery post, sill, trunk floor."""

    name: Annotated[Name, About("Place", "what this place of the vehicle is called")] = ""
    hint: Annotated[Name, About("Note", "where to find it, how to get there")] = ""


class RouteSection(Record, frozen=True):
    """The way from one place of the vehicle to the next, for all wires that take it."""

    name: Annotated[Name, About("Section", "what it is called; empty: from its ends")] = ""
    from_place: Annotated[Ref, About("From", "place at one end")] = ""
    to_place: Annotated[Ref, About("To", "place at the other end")] = ""
    length_m: Annotated[
        float | None, About("Length", "measured along it, from place to place", gt=0, le=100)
    ] = None
    zone: Annotated[Ref, About("Location", "hottest location it passes")] = ""
    cover: Annotated[
        Cover | None, About("Cover", "what lies round all wires in it; auto: as of a harness")
    ] = None
    panel: Annotated[Name, About("Panel crossed", "the panel that its hole is in")] = ""
    hole: Annotated[PanelHole, About("Hole", "how the wires go through that panel")] = (
        PanelHole.UNKNOWN
    )
    hint: Annotated[Name, About("Note", "where the hole is, what to take off first")] = ""
    fuel: Annotated[bool, About("Fuel line", "a fuel or brake line runs beside it")] = False
    airbag: Annotated[bool, About("Airbag", "an airbag or its wiring is beside it")] = False
    high_voltage: Annotated[
        bool, About("High voltage", "orange high-voltage cables are beside it")
    ] = False
    exhaust: Annotated[bool, About("Exhaust", "exhaust or its heat is beside it")] = False
