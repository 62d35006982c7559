"""The way through the vehicle: its places, named once, and the sections that join them."""

from enum import StrEnum

from pydantic import Field

from domain.build.choices import Cover
from domain.document.records import Name, Record, Ref


class PanelHole(StrEnum):
    """How wires go through a panel of the vehicle."""

    UNKNOWN = "not told"
    NEW = "new hole, grommet"
    FACTORY = "factory grommet"
    BARE = "no grommet"


class RoutePlace(Record):
    """A place of this vehicle that wires end at or go through: battery post, sill, trunk floor."""

    name: Name = Field("", title="Place", description="what this place of the vehicle is called")
    hint: Name = Field("", title="Note", description="where to find it, how to get there")


class RouteSection(Record):
    """The way from one place of the vehicle to the next, for all wires that take it."""

    name: Name = Field("", title="Section", description="what it is called; empty: from its ends")
    from_place: Ref = Field("", title="From", description="place at one end")
    to_place: Ref = Field("", title="To", description="place at the other end")
    length_m: float | None = Field(
        None, gt=0, le=100, title="Length", description="measured along it, from place to place"
    )
    zone: Ref = Field("", title="Location", description="hottest location it passes")
    cover: Cover | None = Field(
        None, title="Cover", description="what lies round all wires in it; auto: as of a harness"
    )
    panel: Name = Field("", title="Panel crossed", description="the panel that its hole is in")
    hole: PanelHole = Field(
        PanelHole.UNKNOWN, title="Hole", description="how the wires go through that panel"
    )
    hint: Name = Field("", title="Note", description="where the hole is, what to take off first")
    fuel: bool = Field(False, title="Fuel line", description="a fuel or brake line runs beside it")
    airbag: bool = Field(False, title="Airbag", description="an airbag or its wiring is beside it")
    high_voltage: bool = Field(
        False, title="High voltage", description="orange high-voltage cables are beside it"
    )
    exhaust: bool = Field(False, title="Exhaust", description="exhaust or its heat is beside it")
