"""The build: everything the user entered, and nothing that follows from it.

Every record is frozen, in SI units, with the unit in the field's name (``length_m``,
``capacity_ah``). A field that the engine may choose is ``None`` while it is left to the
engine ("auto") and holds the user's value once pinned. Titles and descriptions here are the
one schema that forms, help, tables and the JSON Schema are made from.
"""

from collections import Counter
from typing import Annotated, ClassVar

from domain.build.choices import (
    AmplifierClass,
    BlockKind,
    Chemistry,
    Cover,
    Cutting,
    Drive,
    Engine,
    Finish,
    FuseFamily,
    Hazard,
    HoleKind,
    HoleShape,
    Insulation,
    Into,
    Isolates,
    JobState,
    LoadKind,
    Metal,
    Meter,
    NetworkMode,
    PanelEdge,
    Place,
    Playing,
    Polarity,
    Programme,
    Reach,
    Resets,
    Seat,
    Surface,
    Termination,
    UnitHabit,
    WireSizes,
    Words,
    Works,
)
from domain.build.extra_records import Extra
from domain.build.lead_records import Lead, RemoteOutput
from domain.build.record_kinds.route_records import RoutePlace, RouteSection
from domain.document.declared import About, Drawn, Gauge, Kind, Name, Ref, Short
from domain.document.entry import Entry
from domain.document.kept import kept
from domain.document.records import Document, Record, label


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


class Zone(Record, frozen=True):
    """A part of the vehicle with one design temperature."""

    name: Annotated[Name, About("Location", "what the place is called")] = ""
    ambient_c: Annotated[float, About("Temperature", "design air temperature", ge=-40, le=200)] = 50


class Battery(Record, frozen=True):
    """A battery. The first battery of a build is the starter battery."""

    name: Annotated[Name, About("Battery", "what it is called")] = ""
    chemistry: Annotated[Chemistry, About("Chemistry", "cell chemistry")] = Chemistry.AGM
    capacity_ah: Annotated[
        float, About("Capacity", "rated capacity at 12 V, 20 h rate for lead-acid", ge=0.1, le=5000)
    ] = 70
    cranking_a: Annotated[
        float | None, About("CCA", "cold cranking amps on the label", ge=1, le=5000)
    ] = None
    resistance_ohm: Annotated[
        float | None, About("Internal resistance", "as measured", ge=1e-5, le=1)
    ] = None
    stud: Annotated[Short, About("Stud", "stud or clamp bolt that takes the rings")] = "M8"
    zone: Annotated[Ref, About("Location", "where it sits")] = ""
    made_year: Annotated[
        int | None, About("Made in", "year on its label; auto: not told", ge=1990, le=2100)
    ] = None
    discharge_limit_a: Annotated[
        float | None,
        About(
            "Max discharge A",
            "current that its own protection lets out for good; auto: not judged",
            gt=0,
            le=5000,
        ),
    ] = None
    charge_limit_a: Annotated[
        float | None,
        About(
            "Max charge A",
            "current that its own protection lets in for good; auto: not judged",
            gt=0,
            le=5000,
        ),
    ] = None
    hottest_c: Annotated[
        float | None,
        About(
            "Max temp",
            "above it its own protection parts it; auto: usual for its kind",
            ge=-40,
            le=200,
        ),
    ] = None
    charge_hottest_c: Annotated[
        float | None,
        About(
            "Max temp, charging",
            "above it its protection takes no charge; auto: not judged",
            ge=-40,
            le=200,
        ),
    ] = None
    charge_coldest_c: Annotated[
        float | None,
        About(
            "Min temp, charging", "below it it is not to be charged; auto: not told", ge=-60, le=60
        ),
    ] = None
    place: Annotated[Ref, About("Place", "place of the vehicle it stands at")] = ""


class Alternator(Record, frozen=True):
    """An alternator with its regulator, and what the vehicle itself takes from it."""

    name: Annotated[Name, About("Alternator", "what it is called")] = ""
    rated_a: Annotated[
        float, About("Output A", "rated current, as it is stated", ge=0, le=1000)
    ] = 120
    idle_a: Annotated[
        float | None, About("At idle", "current at engine idle, hot", ge=0, le=1000)
    ] = None
    idle_rpm: Annotated[
        int, About("Idle rpm", "engine speed at idle, per minute", ge=300, le=3000)
    ] = 750
    cruise_rpm: Annotated[
        int, About("Driving rpm", "usual engine speed on the road, per minute", ge=500, le=8000)
    ] = 2200
    pulley_ratio: Annotated[
        float, About("Pulley ratio", "alternator speed over engine speed", ge=1, le=5)
    ] = 2.5
    hot: Annotated[
        bool | None,
        About(
            "Rated hot",
            "the output is stated hot, not as on the plate; auto counts it as the plate's",
        ),
    ] = None
    regulated_v: Annotated[
        float, About("Charging V", "voltage the regulator keeps, at the alternator", gt=11, le=16)
    ] = 14.2
    vehicle_load_a: Annotated[
        float, About("Vehicle load", "what the vehicle itself draws", ge=0, le=500)
    ] = 35
    smart: Annotated[
        bool | None,
        About(
            "Smart",
            "its voltage is lowered on the road to save fuel; auto: the first as the "
            "vehicle's, others where voltages are entered for it",
        ),
    ] = None
    low_v: Annotated[
        float | None, About("Lowered to", "voltage of a smart one on the road", gt=11, le=16)
    ] = None
    high_v: Annotated[
        float | None,
        About("Raised to", "highest voltage of a smart one, as the vehicle slows", gt=11, le=17),
    ] = None
    place: Annotated[Ref, About("Place", "place of the vehicle it stands at")] = ""


class Amplifier(Record, frozen=True):
    """An amplifier: one channel set, and a second one for its bass channel if it has one."""

    name: Annotated[Name, About("Amplifier", "what it is called")] = ""
    channels: Annotated[int, About("Channels", "channels of the main set", ge=1, le=16)] = 1
    channel_w: Annotated[
        float, About("Per channel", "rated power of each channel", ge=0, le=20000)
    ] = 500
    sub_channels: Annotated[
        int, About("Bass channels", "channels of a separate bass set", ge=0, le=8)
    ] = 0
    sub_channel_w: Annotated[
        float, About("Per bass channel", "rated power of each bass channel", ge=0, le=20000)
    ] = 0
    amplifier_class: Annotated[AmplifierClass, About("Class", "output stage class")] = (
        AmplifierClass.D
    )
    efficiency: Annotated[
        Annotated[float, Kind("fraction")] | None,
        About("Efficiency", "at rated power, whole unit", gt=0.05, le=0.99),
    ] = None
    regulated: Annotated[
        bool, About("Regulated supply", "it keeps its rated power as the battery voltage falls")
    ] = True
    onboard_fuse_a: Annotated[
        float | None,
        About("On-board fuses", "all on the unit together: 60 or 2x30", ge=0.1, le=1000),
    ] = None
    idle_a: Annotated[
        float, About("No-signal A", "current while it is on and plays nothing", ge=0, le=50)
    ] = 1.0
    lowest_v: Annotated[
        float, About("Cutoff V", "supply voltage below which it shuts down", gt=4, le=14)
    ] = 10.0
    largest_wire: Annotated[Gauge | None, About("Max wire", "largest wire its terminals take")] = (
        None
    )
    zone: Annotated[Ref, About("Location", "where it sits")] = ""
    place: Annotated[Ref, About("Place", "place of the vehicle it stands at")] = ""


class Appliance(Record, frozen=True):
    """A load that plays no music: fridge, lights, fan, pump, heater, inverter."""

    name: Annotated[Name, About("Load", "what it is called")] = ""
    kind: Annotated[LoadKind, About("Kind", "how its current follows the voltage")] = LoadKind.POWER
    power_w: Annotated[
        float,
        About(
            "Power",
            "what it takes, as stated; of an inverter what it gives at most for good",
            ge=0,
            le=20000,
        ),
    ] = 60
    rated_v: Annotated[
        float, About("Stated at", "voltage at which it takes that power", gt=8, le=17)
    ] = 12.0
    works: Annotated[Works, About("Works", "when it may run")] = Works.ALWAYS
    duty: Annotated[
        float,
        Kind("fraction"),
        About(
            "Runs for",
            "share of the time that it runs, or of its power that is used, on average",
            ge=0,
            le=1,
        ),
    ] = 1.0
    efficiency: Annotated[
        Annotated[float, Kind("fraction")] | None,
        About("Efficiency", "of an inverter, at its power", gt=0.05, le=1),
    ] = None
    idle_a: Annotated[
        float, About("Standby A", "current while it is on and does nothing", ge=0, le=50)
    ] = 0.0
    lowest_v: Annotated[
        float, About("Cutoff V", "supply voltage below which it switches off", gt=4, le=14)
    ] = 10.0
    onboard_fuse_a: Annotated[
        float | None, About("Own fuses", "all on the unit together: 60 or 2x30", ge=0.1, le=1000)
    ] = None
    largest_wire: Annotated[Gauge | None, About("Max wire", "largest wire its terminals take")] = (
        None
    )
    capacitance_f: Annotated[
        float | None, About("Farads", "of a capacitor, or a bank of them", gt=0, le=10000)
    ] = None
    esr_ohm: Annotated[
        float | None, About("Series resistance", "of a capacitor, as a whole", gt=0, le=1)
    ] = None
    withstand_v: Annotated[
        float | None, About("Max V", "most voltage on a capacitor's label", gt=8, le=100)
    ] = None
    zone: Annotated[Ref, About("Location", "where it sits")] = ""
    place: Annotated[Ref, About("Place", "place of the vehicle it stands at")] = ""


class Block(Record, frozen=True):
    """A distribution block, a ground block, a bus bar, or an isolator between two batteries."""

    name: Annotated[Name, About("Block", "what it is called")] = ""
    kind: Annotated[BlockKind, About("Kind", "what it does")] = BlockKind.DISTRIBUTION
    places: Annotated[int, About("Outputs", "how many wires it feeds", ge=1, le=64)] = 4
    largest_in: Annotated[Gauge | None, About("Max wire in", "largest wire its input takes")] = None
    largest_out: Annotated[Gauge | None, About("Max wire out", "largest wire its outputs take")] = (
        None
    )
    fused: Annotated[bool, About("Fused", "it has a fuse holder at each output")] = True
    isolates: Annotated[
        Isolates | None,
        About(
            "Isolates by",
            "what kind of isolator it is; auto: a relay, joined while the engine runs",
        ),
    ] = None
    rated_a: Annotated[
        float | None,
        About(
            "Rated",
            "current that an isolator, a switch or a bus bar carries for good",
            gt=0,
            le=2000,
        ),
    ] = None
    bar_width_m: Annotated[
        Drawn | None, About("Bar width", "of a copper bus bar; auto: to suit", gt=0, le=0.3048)
    ] = None
    bar_thick_m: Annotated[
        Drawn | None, About("Bar thickness", "of a copper bus bar; auto: to suit", gt=0, le=0.0508)
    ] = None
    peak_a: Annotated[
        float | None,
        About(
            "Peak",
            "current that an isolator stands for seconds, as its label has it",
            gt=0,
            le=5000,
        ),
    ] = None
    join_v: Annotated[
        float | None,
        About(
            "Joins at",
            "voltage at a relay's input; auto: it joins while the engine runs",
            gt=11,
            le=16,
        ),
    ] = None
    part_v: Annotated[
        float | None, About("Parts at", "voltage below which a relay parts again", gt=10, le=16)
    ] = None
    join_s: Annotated[
        float | None, About("Joins after", "time above that voltage", ge=0, le=3600)
    ] = None
    part_s: Annotated[
        float | None, About("Parts after", "time below that voltage", ge=0, le=3600)
    ] = None
    charge_v: Annotated[
        float | None,
        About(
            "Charges to",
            "voltage that a DC-DC charger keeps; auto: by the battery behind it",
            gt=11,
            le=16,
        ),
    ] = None
    input_a: Annotated[
        float | None, About("Max input A", "input limit of a DC-DC charger", gt=0, le=2000)
    ] = None
    efficiency: Annotated[
        Annotated[float, Kind("fraction")] | None,
        About("Efficiency", "of a DC-DC charger, output over input", gt=0.5, le=1),
    ] = None
    zone: Annotated[Ref, About("Location", "where it sits")] = ""
    place: Annotated[Ref, About("Place", "place of the vehicle it stands at")] = ""


class GroundPoint(Record, frozen=True):
    """A place where ground wires meet the body."""

    name: Annotated[Name, About("Ground point", "what it is called")] = ""
    surface: Annotated[Surface, About("Surface", "how the metal is prepared")] = Surface.BARE
    stud: Annotated[Short, About("Stud", "stud or bolt size")] = "M8"
    resistance_ohm: Annotated[
        float | None,
        About(
            "Body resistance",
            "measured through the body, from here to the battery's ground point",
            ge=0,
            le=10,
        ),
    ] = None
    signal: Annotated[bool, About("Head unit here", "the head unit is grounded here")] = False
    zone: Annotated[Ref, About("Location", "where it is")] = ""
    place: Annotated[Ref, About("Place", "place of the vehicle it stands at")] = ""


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


TABLES: dict[str, type[Record]] = {
    "zones": Zone,
    "places": RoutePlace,
    "sections": RouteSection,
    "batteries": Battery,
    "alternators": Alternator,
    "amplifiers": Amplifier,
    "appliances": Appliance,
    "blocks": Block,
    "grounds": GroundPoint,
    "runs": Run,
    "remotes": RemoteOutput,
    "leads": Lead,
    "parts": Part,
    "panels": Panel,
    "fixings": Fixing,
    "holes": Hole,
    "footprints": Footprint,
    "studs": Stud,
    "mounts": Mount,
    "curves": CurvePoint,
    "legs": Leg,
    "spots": Spot,
    "readings": Reading,
    "stock": StockSize,
    "extras": Extra,
}
"""Record tables of a build, in the order in which they may be read (references point back)."""

ID_PREFIX: dict[str, str] = {
    "zones": "z",
    "places": "j",
    "sections": "y",
    "batteries": "b",
    "alternators": "g",
    "amplifiers": "a",
    "appliances": "v",
    "blocks": "d",
    "grounds": "e",
    "runs": "r",
    "remotes": "t",
    "leads": "w",
    "parts": "p",
    "panels": "n",
    "fixings": "x",
    "holes": "h",
    "footprints": "f",
    "studs": "u",
    "mounts": "o",
    "curves": "c",
    "legs": "l",
    "spots": "s",
    "readings": "m",
    "stock": "k",
    "extras": "q",
}

DEVICE_TABLES = ("batteries", "alternators", "amplifiers", "appliances", "blocks", "grounds")

CARRIED_TABLES = (*DEVICE_TABLES, "runs")
"""What a custom part can carry: a device, or the fuse holder of a run."""

REFERENCES: dict[tuple[str, str], tuple[str, ...]] = {
    **{
        (table, "zone"): ("zones",)
        for table in (
            *("batteries", "amplifiers", "appliances", "blocks"),
            *("grounds", "runs", "parts", "sections"),
        )
    },
    **{(table, "place"): ("places",) for table in (*DEVICE_TABLES, "remotes")},
    ("sections", "from_place"): ("places",),
    ("sections", "to_place"): ("places",),
    ("runs", "via"): ("places",),
    ("runs", "source"): DEVICE_TABLES,
    ("runs", "target"): DEVICE_TABLES,
    ("remotes", "feed"): ("batteries", "blocks"),
    ("leads", "source"): ("remotes", "amplifiers", "appliances"),
    ("leads", "target"): ("amplifiers", "appliances", "blocks"),
    ("parts", "carries"): CARRIED_TABLES,
    ("panels", "part"): ("parts",),
    ("panels", "joins"): ("panels",),
    ("fixings", "part"): ("parts",),
    ("holes", "panel"): ("panels",),
    ("holes", "fixing"): ("fixings",),
    ("footprints", "device"): CARRIED_TABLES,
    ("studs", "footprint"): ("footprints",),
    ("mounts", "footprint"): ("footprints",),
    ("mounts", "panel"): ("panels",),
    ("spots", "run"): ("runs",),
    ("spots", "zone"): ("zones",),
    ("readings", "at"): (*DEVICE_TABLES, "runs"),
}
"""Which tables each reference field may point into: (table, field) -> tables."""


class Build(Document, frozen=True):
    """A whole build: a header and tuples of records, in the order the user keeps them."""

    TABLES: ClassVar = TABLES
    HEADER: ClassVar = Header
    ID_PREFIX: ClassVar = ID_PREFIX
    REFERENCES: ClassVar = REFERENCES
    MOST: ClassVar = {"places": 200, "sections": 400}

    header: Header = Header()
    zones: tuple[Zone, ...] = ()
    places: tuple[RoutePlace, ...] = ()
    sections: tuple[RouteSection, ...] = ()
    batteries: tuple[Battery, ...] = ()
    alternators: tuple[Alternator, ...] = ()
    amplifiers: tuple[Amplifier, ...] = ()
    appliances: tuple[Appliance, ...] = ()
    blocks: tuple[Block, ...] = ()
    grounds: tuple[GroundPoint, ...] = ()
    runs: tuple[Run, ...] = ()
    remotes: tuple[RemoteOutput, ...] = ()
    leads: tuple[Lead, ...] = ()
    parts: tuple[Part, ...] = ()
    panels: tuple[Panel, ...] = ()
    fixings: tuple[Fixing, ...] = ()
    holes: tuple[Hole, ...] = ()
    footprints: tuple[Footprint, ...] = ()
    studs: tuple[Stud, ...] = ()
    mounts: tuple[Mount, ...] = ()
    curves: tuple[CurvePoint, ...] = ()
    legs: tuple[Leg, ...] = ()
    spots: tuple[Spot, ...] = ()
    readings: tuple[Reading, ...] = ()
    stock: tuple[StockSize, ...] = ()
    extras: tuple[Extra, ...] = ()

    def habit(self) -> UnitHabit:
        """The units of its header."""
        return self.header.units

    def name_of(self, record: Record) -> str:
        """A run without a name is the feed or the ground of a device, else from where to where."""
        if isinstance(record, Run) and not record.name:
            return _ends(self, record)
        if isinstance(record, Lead) and not record.name:
            return _of_lead(self, record)
        if isinstance(record, RouteSection) and not record.name and record.from_place:
            return f"{label(self, record.from_place)} to {label(self, record.to_place)}"
        return super().name_of(record)


def table_of(id: str) -> str:
    """The table that an id belongs to, from its prefix; ``KeyError`` if none does."""
    letters = id.rstrip("0123456789")
    for table, prefix in ID_PREFIX.items():
        if letters == prefix:
            return table
    raise KeyError(id)


def _ends(build: Build, run: Run) -> str:
    """A run without a name: the feed or the ground of a device, else from where to where."""
    positive = run.polarity is Polarity.POSITIVE
    device = run.target if positive else run.source
    if device and _nameless(build.runs)[run.polarity, device] == 1:
        return f"{label(build, device)} {'feed' if positive else 'ground'}"
    return f"{label(build, run.source)} to {label(build, run.target)}"


@kept(16)
def _nameless(runs: tuple[Run, ...]) -> Counter[tuple[Polarity, str]]:
    """How many runs without a name feed each device, or bring its current back."""
    return Counter(
        (run.polarity, run.target if run.polarity is Polarity.POSITIVE else run.source)
        for run in runs
        if not run.name
    )


def _of_lead(build: Build, lead: Lead) -> str:
    """A lead without a name: what it carries, and to whom, or from whom where it ends nowhere."""
    if lead.target:
        return f"{label(build, lead.target)} {lead.kind.value}"
    return f"{label(build, lead.source) if lead.source else 'head unit'} {lead.kind.value}"
