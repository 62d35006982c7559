"""What is looked into beside the plan: fuse curves, the drive, places for fuses, meter readings."""

from typing import Annotated

from domain.build.choices import (
    Engine,
    FuseFamily,
    Hazard,
    Into,
    Meter,
    NetworkMode,
    Playing,
    Reach,
)
from domain.document.declared import About, Drawn, Name, Ref
from domain.document.records import Record


class CurvePoint(Record, frozen=True):
    """A point of a fuse's opening window, copied from the sheet of the fuse in hand."""

    family: Annotated[FuseFamily, About("Fuse type", "kind and size of fuse")] = FuseFamily.STRIP_51
    rating_a: Annotated[
        float | None, About("Rating", "rating it is for; auto: all of them", ge=0.1, le=1000)
    ] = None
    current_ratio: Annotated[
        float, About("Times rating", "current over rated current", gt=1, le=1000)
    ] = 2.0
    fastest_s: Annotated[
        float | None, About("Min time", "shortest time to open, if stated", gt=0, le=864000)
    ] = None
    slowest_s: Annotated[
        float | None, About("Max time", "longest time to open, if it must", gt=0, le=864000)
    ] = None


class Leg(Record, frozen=True):
    """One leg of the drive profile."""

    name: Annotated[Name, About("Stage", "what happens")] = ""
    engine: Annotated[Engine, About("Engine", "idle, driving or off")] = Engine.CRUISE
    playing: Annotated[Playing, About("Playing", "how loud it plays")] = Playing.PROGRAMME
    duration_s: Annotated[float, About("Lasts", "how long this stage is", ge=0.1, le=864000)] = 600


class Spot(Record, frozen=True):
    """A candidate place for the fuse of a run."""

    name: Annotated[Name, About("Fuse spot", "where it would sit")] = ""
    run: Annotated[Ref, About("Run", "run whose fuse would sit there")] = ""
    feed_m: Annotated[
        float, About("From battery", "wire from the feeding end to here", ge=0, le=50)
    ] = 0.3
    onward_m: Annotated[
        float | None, About("Wire after it", "wire from here to the run's other end", ge=0, le=100)
    ] = None
    zone: Annotated[Ref, About("Location", "where it is")] = ""
    reach: Annotated[Reach, About("Access", "how well it can be serviced")] = Reach.OPEN
    hazard: Annotated[Hazard, About("Not allowed", "what forbids this place")] = Hazard.NONE
    blocks: Annotated[bool, About("Blocks access", "it blocks access to something below")] = False
    into: Annotated[Into, About("Screws into", "what a holder or bracket is screwed to here")] = (
        Into.UNKNOWN
    )
    behind_m: Annotated[
        Drawn | None, About("Behind", "thickness of what it is screwed to", gt=0, le=0.3)
    ] = None


class Reading(Record, frozen=True):
    """A meter reading taken on the car."""

    at: Annotated[Ref, About("At", "device or run it was taken at")] = ""
    meter: Annotated[Meter, About("Across", "what the probes were on")] = Meter.TERMINALS
    mode: Annotated[NetworkMode, About("Condition", "engine and music at that moment")] = (
        NetworkMode.OFF_PROGRAMME
    )
    value_v: Annotated[float | None, About("Reading", "what the meter showed", ge=-30, le=30)] = (
        None
    )
