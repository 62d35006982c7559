"""What concerns a build as a whole."""

from typing import Annotated

from domain.build.choices import (
    Cutting,
    Drive,
    Finish,
    JobState,
    Programme,
    UnitHabit,
    WireSizes,
    Words,
)
from domain.document.declared import About, Drawn, Kind, Name, Short
from domain.document.entry import Entry


class Header(Entry, frozen=True):
    """What concerns the build as a whole."""

    title: Annotated[Name, About("Title", "what the shop calls this job")] = "New build"
    customer: Annotated[Name, About("Customer", "who it is for")] = ""
    vehicle: Annotated[Name, About("Vehicle", "what it goes into")] = ""
    notes: Annotated[Name, About("Notes", "anything worth remembering")] = ""
    state: Annotated[JobState, About("Job status", "where the job stands")] = JobState.PLANNED
    units: Annotated[UnitHabit, About("Units", "inch or metric display")] = UnitHabit.INCH
    words: Annotated[
        Words | None,
        About("Words", "trunk and ground, or boot and earth; auto: US in inches, else British"),
    ] = None
    wire_sizes: Annotated[
        WireSizes, About("Wire sizes", "series that auto gauges are taken from")
    ] = WireSizes.AWG
    programme: Annotated[
        Programme, About("Played mostly", "what is played, sets the average power")
    ] = Programme.MUSIC
    average_level: Annotated[
        Annotated[float, Kind("fraction")] | None,
        About(
            "Average level",
            "average of the music over rated power, as of a song; auto: by what is played",
            gt=0,
            le=1,
        ),
    ] = None
    music: Annotated[
        Name,
        About(
            "Music judged", "the piece whose average was taken: file, and what was measured of it"
        ),
    ] = ""
    drop_limit_v: Annotated[
        float,
        About(
            "Drop limit", "volts lost on power and ground side together, at full power", gt=0, le=6
        ),
    ] = 1.0
    """Default: 0.7 V in the wires, 5 % of 14 V by the NEC's informational note for feeder and
    branch together, and 0.3 V in two fuses and their joints, which that note does not count.
    """
    finish: Annotated[Finish, About("Finish", "how far the visible work is taken")] = Finish.CLEAN
    labour_price: Annotated[float, About("Labor", "price of an hour of work", ge=0, le=100000)] = 0
    markup_ratio: Annotated[
        float, About("Markup", "selling price over price, of materials", ge=0.1, le=20)
    ] = 1
    tax_percent: Annotated[float, About("Tax", "added to labor and materials", ge=0, le=100)] = 0
    currency: Annotated[Short, About("Currency", "written before every price")] = ""
    cutting: Annotated[
        Cutting, About("Sheet cut by", "saw: cuts right across the sheet; router: anywhere")
    ] = Cutting.SAW
    kerf_m: Annotated[
        Drawn | None, About("Kerf", "sheet lost between two blanks", ge=0, le=0.0254)
    ] = None
    drive: Annotated[Drive, About("Drive", "what moves the vehicle")] = Drive.COMBUSTION
    smart_alternator: Annotated[
        bool,
        About(
            "Smart alternator", "the vehicle lowers its charging voltage on the road, to save fuel"
        ),
    ] = False
