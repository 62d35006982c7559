"""Runs of wire on the power side."""

from typing import Annotated

from domain.build.choices import Cover, FuseFamily, Insulation, Metal, Polarity, Resets, Termination
from domain.document.declared import About, Drawn, Gauge, Name, Ref, Short
from domain.document.records import Record


class Run(Record, frozen=True):
    """A run of wire between two devices, with its fuse and both ends.

    ``near`` is the end at ``source``, ``far`` the end at ``target``. A fuse sits
    ``fuse_distance_m`` along the wire from the near end. A run of several wires (``count``) has
    them of one length and gauge, joined at both ends, each with fuses of its own.
    """

    name: Annotated[Name, About("Run", "label on the wire; empty: made from its ends")] = ""
    polarity: Annotated[Polarity, About("Polarity", "positive or ground")] = Polarity.POSITIVE
    source: Annotated[Ref, About("From", "device at the feeding end")] = ""
    target: Annotated[Ref, About("To", "device at the other end")] = ""
    length_m: Annotated[float | None, About("Length", "measured along the route", gt=0, le=100)] = (
        None
    )
    slack_m: Annotated[
        float | None, About("Slack", "extra wire for routing and service", ge=0, le=20)
    ] = None
    zone: Annotated[Ref, About("Location", "hottest place it passes")] = ""
    via: Annotated[Ref, About("Via", "place that it goes through, if not by the shortest way")] = ""
    count: Annotated[
        int,
        About(
            "Wires",
            "alike wires laid side by side as this run, each with its own fuses",
            ge=1,
            le=8,
        ),
    ] = 1
    gauge: Annotated[Gauge | None, About("Gauge", "wire size")] = None
    metal: Annotated[Metal, About("Metal", "conductor material")] = Metal.COPPER
    insulation: Annotated[Insulation, About("Insulation", "insulation temperature class")] = (
        Insulation.T105
    )
    colour: Annotated[Short, About("Color", "empty: by its polarity")] = ""
    strands: Annotated[
        int | None, About("Strands", "counted in the wire itself", ge=1, le=20000)
    ] = None
    strand_m: Annotated[
        Drawn | None, About("Strand", "diameter of one strand, measured", ge=0.0000508, le=0.0127)
    ] = None
    loom: Annotated[
        Short, About("Harness", "runs with the same word here lie together in one harness")
    ] = ""
    bundle: Annotated[
        int | None,
        About(
            "Bundle",
            "loaded conductors lying together, itself too; auto: those of its harness",
            ge=1,
            le=100,
        ),
    ] = None
    cover: Annotated[
        Cover | None,
        About(
            "Cover", "what lies round it and keeps its heat in; auto: tube where the bill has one"
        ),
    ] = None
    fused: Annotated[bool, About("Fused", "it has a fuse at its From end")] = False
    fuse_a: Annotated[float | None, About("Fuse", "fuse rating", ge=0.1, le=1000)] = None
    fuse_family: Annotated[FuseFamily | None, About("Fuse type", "kind and size of fuse")] = None
    breaks_a: Annotated[
        float | None,
        About(
            "Breaks",
            "largest short that it can break, from its label; auto: usual for its type",
            gt=0,
            le=500000,
        ),
    ] = None
    resets: Annotated[Resets, About("Resets", "how a breaker closes again once it has opened")] = (
        Resets.HAND
    )
    fuse_distance_m: Annotated[
        float | None, About("Wire to fuse", "wire from the From end to the fuse", ge=0, le=100)
    ] = None
    far_fused: Annotated[
        bool, About("2nd fuse", "a second fuse, of the same rating, at its To end")
    ] = False
    far_fuse_distance_m: Annotated[
        float | None, About("Wire to 2nd fuse", "wire from the To end to it", ge=0, le=100)
    ] = None
    near_end: Annotated[Termination | None, About("Terminal at From", "what is on that end")] = None
    far_end: Annotated[Termination | None, About("Terminal at To", "what is on that end")] = None
    existing: Annotated[
        bool, About("Existing", "already in the vehicle: not bought, not resized")
    ] = False
