"""What switches devices on and what carries the sound: remote outputs, and leads."""

from pydantic import Field

from domain.build.choices import LeadKind, SwitchedBy
from domain.document.records import Gauge, Name, Record, Ref


class RemoteOutput(Record):
    """An output that switches devices on with 12 V, by itself or through a relay."""

    name: Name = Field("Head unit", title="Output", description="what the 12 V come from")
    kind: SwitchedBy = Field(
        SwitchedBy.HEAD_UNIT, title="Kind", description="what switches: its remote output, or a tap"
    )
    limit_a: float | None = Field(
        None,
        gt=0,
        le=100,
        title="Gives at most",
        description="most current of this output, from its manual; auto: usual for its kind",
    )
    relay: bool | None = Field(
        None, title="Relay", description="a relay feeds its leads; auto: where it gives too little"
    )
    feed: Ref = Field(
        "",
        title="Relay fed from",
        description="battery or block that feeds the relay; empty: a block, else the first battery",
    )
    feed_m: float | None = Field(
        None, gt=0, le=100, title="Relay's feed", description="wire from there to the relay"
    )
    coil_m: float | None = Field(
        None, gt=0, le=100, title="To the relay", description="wire from the output to the relay"
    )
    place: Ref = Field("", title="Place", description="place of the vehicle it is at")


class Lead(Record):
    """A switching, signal or loudspeaker lead: no run of the power side, but laid and bought."""

    name: Name = Field("", title="Lead", description="what it is called; empty: from its ends")
    kind: LeadKind = Field(LeadKind.REMOTE, title="Kind", description="what it carries")
    source: Ref = Field(
        "", title="From", description="output, or device that hands on; empty: the head unit"
    )
    target: Ref = Field(
        "", title="To", description="device at its end; empty: what the lead's name says"
    )
    count: int = Field(
        1, ge=1, le=32, title="Cables", description="alike ones side by side; of signal, pairs"
    )
    length_m: float | None = Field(
        None, gt=0, le=100, title="Length", description="measured along the route"
    )
    gauge: Gauge | None = Field(None, title="Gauge", description="wire size; a signal has none")
    draws_a: float | None = Field(
        None,
        ge=0,
        le=30,
        title="Draws",
        description="what the device takes from a remote lead; auto: usual for its kind",
    )
