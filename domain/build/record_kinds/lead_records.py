"""What switches devices on and what carries the sound: remote outputs, and leads."""

from typing import Annotated

from domain.build.choices import LeadKind, SwitchedBy
from domain.document.declared import About, Gauge, Name, Ref
from domain.document.records import Record


class RemoteOutput(Record, frozen=True):
    """An output that switches devices on with 12 V, by itself or through a relay."""

    name: Annotated[Name, About("Output", "what the 12 V come from")] = "Head unit"
    kind: Annotated[SwitchedBy, About("Kind", "what switches: its remote output, or a tap")] = (
        SwitchedBy.HEAD_UNIT
    )
    limit_a: Annotated[
        float | None,
        About(
            "Gives at most",
            "most current of this output, from its manual; auto: usual for its kind",
            gt=0,
            le=100,
        ),
    ] = None
    relay: Annotated[
        bool | None, About("Relay", "a relay feeds its leads; auto: where it gives too little")
    ] = None
    feed: Annotated[
        Ref,
        About(
            "Relay fed from",
            "battery or block that feeds the relay; empty: a block, else the first battery",
        ),
    ] = ""
    feed_m: Annotated[
        float | None, About("Relay's feed", "wire from there to the relay", gt=0, le=100)
    ] = None
    coil_m: Annotated[
        float | None, About("To the relay", "wire from the output to the relay", gt=0, le=100)
    ] = None
    place: Annotated[Ref, About("Place", "place of the vehicle it is at")] = ""


class Lead(Record, frozen=True):
    """A switching, signal or loudspeaker lead: no run of the power side, but laid and bought."""

    name: Annotated[Name, About("Lead", "what it is called; empty: from its ends")] = ""
    kind: Annotated[LeadKind, About("Kind", "what it carries")] = LeadKind.REMOTE
    source: Annotated[
        Ref, About("From", "output, or device that hands on; empty: the head unit")
    ] = ""
    target: Annotated[Ref, About("To", "device at its end; empty: what the lead's name says")] = ""
    count: Annotated[
        int, About("Cables", "alike ones side by side; of signal, pairs", ge=1, le=32)
    ] = 1
    length_m: Annotated[float | None, About("Length", "measured along the route", gt=0, le=100)] = (
        None
    )
    gauge: Annotated[Gauge | None, About("Gauge", "wire size; a signal has none")] = None
    draws_a: Annotated[
        float | None,
        About(
            "Draws",
            "what the device takes from a remote lead; auto: usual for its kind",
            ge=0,
            le=30,
        ),
    ] = None
