"""Custom parts: what they are made of, what holds them, and what they carry."""

from typing import Annotated

from domain.build.choices import HoleKind, HoleShape, Into, PanelEdge, Place, Seat
from domain.document.declared import About, Drawn, Name, Ref, Short
from domain.document.records import Record


class Part(Record, frozen=True):
    """A custom part: panels of one sheet material, joined at bends."""

    name: Annotated[Name, About("Part", "what it is called")] = ""
    material: Annotated[Short, About("Material", "sheet material")] = "ABS"
    thickness_m: Annotated[Drawn, About("Thickness", "sheet thickness", gt=0, le=0.1)] = 0.00635
    carries: Annotated[
        Ref, About("Carries", "device, or run whose fuse holder is mounted on it")
    ] = ""
    load_kg: Annotated[float, About("Weight carried", "mass it carries", ge=0, le=500)] = 0
    quantity: Annotated[int, About("Quantity", "how many to make", ge=1, le=200)] = 1
    both_hands: Annotated[
        bool, About("Left and right", "as many again mirrored, for the other side of the vehicle")
    ] = False
    corner_m: Annotated[
        Drawn, About("Corner radius", "radius of the outline's corners", ge=0, le=0.5)
    ] = 0
    cutter_m: Annotated[
        Drawn | None, About("Router bit", "its diameter, if routed", ge=0.0005, le=0.1)
    ] = None
    edge_m: Annotated[
        Drawn, About("Edge round-over", "radius where wires pass", ge=0, le=0.0508)
    ] = 0
    place: Annotated[Place, About("Mounted to", "what it shakes with")] = Place.BODY
    seat: Annotated[Seat, About("Backing", "flush on something stiff, or free on spacers")] = (
        Seat.UNKNOWN
    )
    shock_ratio: Annotated[
        float, About("Shock load, g", "load it must stand, in times its own weight", ge=0, le=100)
    ] = 5
    box_length_m: Annotated[
        Drawn | None, About("Space length", "measured space for the folded part", gt=0, le=10.16)
    ] = None
    box_width_m: Annotated[
        Drawn | None, About("Space width", "measured space for the folded part", gt=0, le=10.16)
    ] = None
    box_height_m: Annotated[
        Drawn | None, About("Space height", "measured space for the folded part", gt=0, le=10.16)
    ] = None
    zone: Annotated[Ref, About("Location", "where it is mounted")] = ""


class StockSize(Record, frozen=True):
    """A size in which the shop buys sheet. Where one fits a part, no other size is used."""

    material: Annotated[Short, About("Material", "sheet material; empty: any")] = ""
    thickness_m: Annotated[
        Drawn | None, About("Thickness", "sheet thickness; auto: any", gt=0, le=0.1)
    ] = None
    width_m: Annotated[
        Drawn, About("Width", "across the grain, if there is any", ge=0.0254, le=10.16)
    ] = 0.6096
    length_m: Annotated[Drawn, About("Length", "along the grain", ge=0.0254, le=10.16)] = 1.2192


class Panel(Record, frozen=True):
    """One flat panel of a part. The root panel joins nothing; others join a panel at a bend.

    ``length_m`` runs away from the bend, ``width_m`` along it, both measured to the outside
    faces of the finished part.
    """

    part: Annotated[Ref, About("Part", "part it belongs to")] = ""
    name: Annotated[Name, About("Flange", "what it is called")] = ""
    joins: Annotated[Ref, About("Bent from", "flange it is bent from; empty for the first")] = ""
    edge: Annotated[
        PanelEdge, About("From edge", "edge of that flange: far is away from its bend")
    ] = PanelEdge.FAR
    up: Annotated[bool, About("Bend up", "towards the marked face, else away from it")] = True
    offset_m: Annotated[
        Drawn, About("Shifted", "along that edge, from its middle", ge=-5, le=5)
    ] = 0
    length_m: Annotated[Drawn, About("Length", "away from the bend", gt=0, le=5)] = 0.1
    width_m: Annotated[Drawn, About("Width", "along the bend", gt=0, le=5)] = 0.05
    bend_deg: Annotated[float, About("Bend", "angle it is turned through", ge=0, lt=180)] = 90
    bend_radius_m: Annotated[
        Drawn, About("Inside radius", "inside radius of the bend", ge=0, le=1)
    ] = 0.00635
    score_m: Annotated[
        Drawn | None, About("Score", "depth of a score along the bend line", gt=0, le=0.0508)
    ] = None


class Fixing(Record, frozen=True):
    """Screws of one kind that hold a part: what they go into. Its holes name it."""

    part: Annotated[Ref, About("Part", "part that they hold")] = ""
    into: Annotated[Into, About("Goes into", "what the screws go into")] = Into.UNKNOWN
    behind_m: Annotated[
        Drawn | None, About("Behind", "thickness of what they go into", gt=0, le=0.3)
    ] = None
    thread: Annotated[Short, About("Thread", "screw, as M6, #10-24 or #10")] = ""
    screw_m: Annotated[
        Drawn | None, About("Screw length", "under the head; auto: to suit", gt=0, le=0.508)
    ] = None


class Hole(Record, frozen=True):
    """A hole or cut-out in a panel, placed by its centre from the panel's corner."""

    panel: Annotated[Ref, About("Flange", "flange it is in")] = ""
    x_m: Annotated[Drawn, About("X", "along the width, from the left", ge=-5, le=5)] = 0.01
    y_m: Annotated[Drawn, About("Y", "along the length, from the bend", ge=-5, le=5)] = 0.01
    shape: Annotated[HoleShape, About("Shape", "outline of the hole")] = HoleShape.ROUND
    diameter_m: Annotated[
        Drawn, About("Diameter", "as drilled; width of a slot or rectangle", gt=0, le=1)
    ] = 0.005
    across_m: Annotated[
        Drawn | None, About("Overall length", "of a slot or rectangle", gt=0, le=2)
    ] = None
    turn_deg: Annotated[
        float, About("Rotated", "of a slot or rectangle, from along the width", ge=-180, le=180)
    ] = 0
    kind: Annotated[HoleKind, About("Kind", "plain, for a screw, or for an insert")] = (
        HoleKind.PLAIN
    )
    thread: Annotated[Short, About("Thread", "screw that goes in, as M5")] = ""
    fixing: Annotated[Ref, About("Fixing", "fixing whose screw goes in here")] = ""


class Footprint(Record, frozen=True):
    """The feet of a device: measured once, placed on any panel."""

    name: Annotated[Name, About("Hole pattern", "what it is called")] = ""
    device: Annotated[
        Ref, About("Device", "device it belongs to, or run whose fuse holder it is, if in the plan")
    ] = ""
    mass_kg: Annotated[float, About("Mass", "mass of the device", ge=0, le=500)] = 0
    length_m: Annotated[Drawn, About("Length", "outline of the device", gt=0, le=5)] = 0.1
    width_m: Annotated[Drawn, About("Width", "outline of the device", gt=0, le=5)] = 0.1
    height_m: Annotated[Drawn, About("Height", "height of the device", gt=0, le=5)] = 0.05
    foot_m: Annotated[
        Drawn, About("Foot thickness", "of its foot, under a screw head", ge=0, le=0.2)
    ] = 0.003


class Stud(Record, frozen=True):
    """One fixing point of a footprint, from the footprint's lower left corner."""

    footprint: Annotated[Ref, About("Hole pattern", "hole pattern it belongs to")] = ""
    x_m: Annotated[Drawn, About("X", "from the left", ge=-5, le=5)] = 0.01
    y_m: Annotated[Drawn, About("Y", "from the lower edge", ge=-5, le=5)] = 0.01
    kind: Annotated[HoleKind, About("Kind", "clearance or tapped")] = HoleKind.CLEARANCE
    thread: Annotated[Short, About("Thread", "screw that goes in, as M5 or #10-24")] = "M5"
    screw_m: Annotated[Drawn | None, About("Screw length", "under its head", gt=0, le=0.508)] = None


class Mount(Record, frozen=True):
    """A footprint placed on a panel, by its centre."""

    footprint: Annotated[Ref, About("Hole pattern", "hole pattern that is placed")] = ""
    panel: Annotated[Ref, About("Flange", "flange that carries it")] = ""
    x_m: Annotated[Drawn, About("X", "center, along the width", ge=-5, le=5)] = 0.05
    y_m: Annotated[Drawn, About("Y", "center, along the length", ge=-5, le=5)] = 0.05
    turn_deg: Annotated[float, About("Rotated", "counter-clockwise", ge=-180, le=180)] = 0
    mirrored: Annotated[bool, About("Mirrored", "seen from the other face")] = False
