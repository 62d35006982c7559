"""The build: everything the user entered, and nothing that follows from it.

Every record is frozen, in SI units, with the unit in the field's name (``length_m``,
``capacity_ah``). A field that the engine may choose is ``None`` while it is left to the
engine ("auto") and holds the user's value once pinned. Titles and descriptions here are the
one schema that forms, help, tables and the JSON Schema are made from.
"""

from collections import Counter
from typing import Annotated, ClassVar, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

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
from domain.document.kept import kept
from domain.document.records import (
    Document,
    Drawn,
    Gauge,
    Kind,
    Name,
    Record,
    Ref,
    Short,
    label,
    reference_problems,
)


class Header(BaseModel):
    """What concerns the build as a whole."""

    model_config = ConfigDict(frozen=True, defer_build=True, extra="forbid", allow_inf_nan=False)

    title: Name = Field("New build", title="Title", description="what the shop calls this job")
    customer: Name = Field("", title="Customer", description="who it is for")
    vehicle: Name = Field("", title="Vehicle", description="what it goes into")
    notes: Name = Field("", title="Notes", description="anything worth remembering")
    state: JobState = Field(
        JobState.PLANNED, title="Job status", description="where the job stands"
    )
    units: UnitHabit = Field(UnitHabit.INCH, title="Units", description="inch or metric display")
    words: Words | None = Field(
        None,
        title="Words",
        description="trunk and ground, or boot and earth; auto: US in inches, else British",
    )
    wire_sizes: WireSizes = Field(
        WireSizes.AWG, title="Wire sizes", description="series that auto gauges are taken from"
    )
    programme: Programme = Field(
        Programme.MUSIC, title="Played mostly", description="what is played, sets the average power"
    )
    average_level: Annotated[float, Kind("fraction")] | None = Field(
        None,
        gt=0,
        le=1,
        title="Average level",
        description="average of the music over rated power, as of a song; auto: by what is played",
    )
    music: Name = Field(
        "",
        title="Music judged",
        description="the piece whose average was taken: file, and what was measured of it",
    )
    drop_limit_v: float = Field(
        1.0,
        gt=0,
        le=6,
        title="Drop limit",
        description="volts lost on power and ground side together, at full power",
    )
    """Default: 0.7 V in the wires, 5 % of 14 V by the NEC's informational note for feeder and
    branch together, and 0.3 V in two fuses and their joints, which that note does not count.
    """
    finish: Finish = Field(
        Finish.CLEAN, title="Finish", description="how far the visible work is taken"
    )
    labour_price: float = Field(
        0, ge=0, le=100000, title="Labor", description="price of an hour of work"
    )
    markup_ratio: float = Field(
        1, ge=0.1, le=20, title="Markup", description="selling price over price, of materials"
    )
    tax_percent: float = Field(
        0, ge=0, le=100, title="Tax", description="added to labor and materials"
    )
    currency: Short = Field("", title="Currency", description="written before every price")
    cutting: Cutting = Field(
        Cutting.SAW,
        title="Sheet cut by",
        description="saw: cuts right across the sheet; router: anywhere",
    )
    kerf_m: Drawn | None = Field(
        None, ge=0, le=0.0254, title="Kerf", description="sheet lost between two blanks"
    )
    drive: Drive = Field(Drive.COMBUSTION, title="Drive", description="what moves the vehicle")
    smart_alternator: bool = Field(
        False,
        title="Smart alternator",
        description="the vehicle lowers its charging voltage on the road, to save fuel",
    )


class Zone(Record):
    """A part of the vehicle with one design temperature."""

    name: Name = Field("", title="Location", description="what the place is called")
    ambient_c: float = Field(
        50, ge=-40, le=200, title="Temperature", description="design air temperature"
    )


class Battery(Record):
    """A battery. The first battery of a build is the starter battery."""

    name: Name = Field("", title="Battery", description="what it is called")
    chemistry: Chemistry = Field(Chemistry.AGM, title="Chemistry", description="cell chemistry")
    capacity_ah: float = Field(
        70,
        ge=0.1,
        le=5000,
        title="Capacity",
        description="rated capacity at 12 V, 20 h rate for lead-acid",
    )
    cranking_a: float | None = Field(
        None, ge=1, le=5000, title="CCA", description="cold cranking amps on the label"
    )
    resistance_ohm: float | None = Field(
        None, ge=1e-5, le=1, title="Internal resistance", description="as measured"
    )
    stud: Short = Field("M8", title="Stud", description="stud or clamp bolt that takes the rings")
    zone: Ref = Field("", title="Location", description="where it sits")
    made_year: int | None = Field(
        None, ge=1990, le=2100, title="Made in", description="year on its label; auto: not told"
    )
    discharge_limit_a: float | None = Field(
        None,
        gt=0,
        le=5000,
        title="Max discharge A",
        description="current that its own protection lets out for good; auto: not judged",
    )
    charge_limit_a: float | None = Field(
        None,
        gt=0,
        le=5000,
        title="Max charge A",
        description="current that its own protection lets in for good; auto: not judged",
    )
    hottest_c: float | None = Field(
        None,
        ge=-40,
        le=200,
        title="Max temp",
        description="above it its own protection parts it; auto: usual for its kind",
    )
    charge_hottest_c: float | None = Field(
        None,
        ge=-40,
        le=200,
        title="Max temp, charging",
        description="above it its protection takes no charge; auto: not judged",
    )
    charge_coldest_c: float | None = Field(
        None,
        ge=-60,
        le=60,
        title="Min temp, charging",
        description="below it it is not to be charged; auto: not told",
    )
    place: Ref = Field("", title="Place", description="place of the vehicle it stands at")


class Alternator(Record):
    """An alternator with its regulator, and what the vehicle itself takes from it."""

    name: Name = Field("", title="Alternator", description="what it is called")
    rated_a: float = Field(
        120, ge=0, le=1000, title="Output A", description="rated current, as it is stated"
    )
    idle_a: float | None = Field(
        None, ge=0, le=1000, title="At idle", description="current at engine idle, hot"
    )
    idle_rpm: int = Field(
        750, ge=300, le=3000, title="Idle rpm", description="engine speed at idle, per minute"
    )
    cruise_rpm: int = Field(
        2200,
        ge=500,
        le=8000,
        title="Driving rpm",
        description="usual engine speed on the road, per minute",
    )
    pulley_ratio: float = Field(
        2.5, ge=1, le=5, title="Pulley ratio", description="alternator speed over engine speed"
    )
    hot: bool | None = Field(
        None,
        title="Rated hot",
        description="the output is stated hot, not as on the plate; auto counts it as the plate's",
    )
    regulated_v: float = Field(
        14.2,
        gt=11,
        le=16,
        title="Charging V",
        description="voltage the regulator keeps, at the alternator",
    )
    vehicle_load_a: float = Field(
        35, ge=0, le=500, title="Vehicle load", description="what the vehicle itself draws"
    )
    smart: bool | None = Field(
        None,
        title="Smart",
        description="its voltage is lowered on the road to save fuel; auto: the first as the "
        "vehicle's, others where voltages are entered for it",
    )
    low_v: float | None = Field(
        None, gt=11, le=16, title="Lowered to", description="voltage of a smart one on the road"
    )
    high_v: float | None = Field(
        None,
        gt=11,
        le=17,
        title="Raised to",
        description="highest voltage of a smart one, as the vehicle slows",
    )
    place: Ref = Field("", title="Place", description="place of the vehicle it stands at")


class Amplifier(Record):
    """An amplifier: one channel set, and a second one for its bass channel if it has one."""

    name: Name = Field("", title="Amplifier", description="what it is called")
    channels: int = Field(1, ge=1, le=16, title="Channels", description="channels of the main set")
    channel_w: float = Field(
        500, ge=0, le=20000, title="Per channel", description="rated power of each channel"
    )
    sub_channels: int = Field(
        0, ge=0, le=8, title="Bass channels", description="channels of a separate bass set"
    )
    sub_channel_w: float = Field(
        0, ge=0, le=20000, title="Per bass channel", description="rated power of each bass channel"
    )
    amplifier_class: AmplifierClass = Field(
        AmplifierClass.D, title="Class", description="output stage class"
    )
    efficiency: Annotated[float, Kind("fraction")] | None = Field(
        None, gt=0.05, le=0.99, title="Efficiency", description="at rated power, whole unit"
    )
    regulated: bool = Field(
        True,
        title="Regulated supply",
        description="it keeps its rated power as the battery voltage falls",
    )
    onboard_fuse_a: float | None = Field(
        None,
        ge=0.1,
        le=1000,
        title="On-board fuses",
        description="all on the unit together: 60 or 2x30",
    )
    idle_a: float = Field(
        1.0,
        ge=0,
        le=50,
        title="No-signal A",
        description="current while it is on and plays nothing",
    )
    lowest_v: float = Field(
        10.0, gt=4, le=14, title="Cutoff V", description="supply voltage below which it shuts down"
    )
    largest_wire: Gauge | None = Field(
        None, title="Max wire", description="largest wire its terminals take"
    )
    zone: Ref = Field("", title="Location", description="where it sits")
    place: Ref = Field("", title="Place", description="place of the vehicle it stands at")


class Appliance(Record):
    """A load that plays no music: fridge, lights, fan, pump, heater, inverter."""

    name: Name = Field("", title="Load", description="what it is called")
    kind: LoadKind = Field(
        LoadKind.POWER, title="Kind", description="how its current follows the voltage"
    )
    power_w: float = Field(
        60,
        ge=0,
        le=20000,
        title="Power",
        description="what it takes, as stated; of an inverter what it gives at most for good",
    )
    rated_v: float = Field(
        12.0, gt=8, le=17, title="Stated at", description="voltage at which it takes that power"
    )
    works: Works = Field(Works.ALWAYS, title="Works", description="when it may run")
    duty: Annotated[float, Kind("fraction")] = Field(
        1.0,
        ge=0,
        le=1,
        title="Runs for",
        description="share of the time that it runs, or of its power that is used, on average",
    )
    efficiency: Annotated[float, Kind("fraction")] | None = Field(
        None, gt=0.05, le=1, title="Efficiency", description="of an inverter, at its power"
    )
    idle_a: float = Field(
        0.0, ge=0, le=50, title="Standby A", description="current while it is on and does nothing"
    )
    lowest_v: float = Field(
        10.0,
        gt=4,
        le=14,
        title="Cutoff V",
        description="supply voltage below which it switches off",
    )
    onboard_fuse_a: float | None = Field(
        None,
        ge=0.1,
        le=1000,
        title="Own fuses",
        description="all on the unit together: 60 or 2x30",
    )
    largest_wire: Gauge | None = Field(
        None, title="Max wire", description="largest wire its terminals take"
    )
    capacitance_f: float | None = Field(
        None, gt=0, le=10000, title="Farads", description="of a capacitor, or a bank of them"
    )
    esr_ohm: float | None = Field(
        None,
        gt=0,
        le=1,
        title="Series resistance",
        description="of a capacitor, as a whole",
    )
    withstand_v: float | None = Field(
        None, gt=8, le=100, title="Max V", description="most voltage on a capacitor's label"
    )
    zone: Ref = Field("", title="Location", description="where it sits")
    place: Ref = Field("", title="Place", description="place of the vehicle it stands at")


class Block(Record):
    """A distribution block, a ground block, a bus bar, or an isolator between two batteries."""

    name: Name = Field("", title="Block", description="what it is called")
    kind: BlockKind = Field(BlockKind.DISTRIBUTION, title="Kind", description="what it does")
    places: int = Field(4, ge=1, le=64, title="Outputs", description="how many wires it feeds")
    largest_in: Gauge | None = Field(
        None, title="Max wire in", description="largest wire its input takes"
    )
    largest_out: Gauge | None = Field(
        None, title="Max wire out", description="largest wire its outputs take"
    )
    fused: bool = Field(True, title="Fused", description="it has a fuse holder at each output")
    isolates: Isolates | None = Field(
        None,
        title="Isolates by",
        description="what kind of isolator it is; auto: a relay, joined while the engine runs",
    )
    rated_a: float | None = Field(
        None,
        gt=0,
        le=2000,
        title="Rated",
        description="current that an isolator, a switch or a bus bar carries for good",
    )
    bar_width_m: Drawn | None = Field(
        None, gt=0, le=0.3048, title="Bar width", description="of a copper bus bar; auto: to suit"
    )
    bar_thick_m: Drawn | None = Field(
        None,
        gt=0,
        le=0.0508,
        title="Bar thickness",
        description="of a copper bus bar; auto: to suit",
    )
    peak_a: float | None = Field(
        None,
        gt=0,
        le=5000,
        title="Peak",
        description="current that an isolator stands for seconds, as its label has it",
    )
    join_v: float | None = Field(
        None,
        gt=11,
        le=16,
        title="Joins at",
        description="voltage at a relay's input; auto: it joins while the engine runs",
    )
    part_v: float | None = Field(
        None, gt=10, le=16, title="Parts at", description="voltage below which a relay parts again"
    )
    join_s: float | None = Field(
        None, ge=0, le=3600, title="Joins after", description="time above that voltage"
    )
    part_s: float | None = Field(
        None, ge=0, le=3600, title="Parts after", description="time below that voltage"
    )
    charge_v: float | None = Field(
        None,
        gt=11,
        le=16,
        title="Charges to",
        description="voltage that a DC-DC charger keeps; auto: by the battery behind it",
    )
    input_a: float | None = Field(
        None, gt=0, le=2000, title="Max input A", description="input limit of a DC-DC charger"
    )
    efficiency: Annotated[float, Kind("fraction")] | None = Field(
        None, gt=0.5, le=1, title="Efficiency", description="of a DC-DC charger, output over input"
    )
    zone: Ref = Field("", title="Location", description="where it sits")
    place: Ref = Field("", title="Place", description="place of the vehicle it stands at")


class GroundPoint(Record):
    """A place where ground wires meet the body."""

    name: Name = Field("", title="Ground point", description="what it is called")
    surface: Surface = Field(Surface.BARE, title="Surface", description="how the metal is prepared")
    stud: Short = Field("M8", title="Stud", description="stud or bolt size")
    resistance_ohm: float | None = Field(
        None,
        ge=0,
        le=10,
        title="Body resistance",
        description="measured through the body, from here to the battery's ground point",
    )
    signal: bool = Field(
        False, title="Head unit here", description="the head unit is grounded here"
    )
    zone: Ref = Field("", title="Location", description="where it is")
    place: Ref = Field("", title="Place", description="place of the vehicle it stands at")


class Run(Record):
    """A run of wire between two devices, with its fuse and both ends.

    ``near`` is the end at ``source``, ``far`` the end at ``target``. A fuse sits
    ``fuse_distance_m`` along the wire from the near end. A run of several wires (``count``) has
    them of one length and gauge, joined at both ends, each with fuses of its own.
    """

    name: Name = Field("", title="Run", description="label on the wire; empty: made from its ends")
    polarity: Polarity = Field(
        Polarity.POSITIVE, title="Polarity", description="positive or ground"
    )
    source: Ref = Field("", title="From", description="device at the feeding end")
    target: Ref = Field("", title="To", description="device at the other end")
    length_m: float | None = Field(
        None, gt=0, le=100, title="Length", description="measured along the route"
    )
    slack_m: float | None = Field(
        None, ge=0, le=20, title="Slack", description="extra wire for routing and service"
    )
    zone: Ref = Field("", title="Location", description="hottest place it passes")
    via: Ref = Field(
        "", title="Via", description="place that it goes through, if not by the shortest way"
    )
    count: int = Field(
        1,
        ge=1,
        le=8,
        title="Wires",
        description="alike wires laid side by side as this run, each with its own fuses",
    )
    gauge: Gauge | None = Field(None, title="Gauge", description="wire size")
    metal: Metal = Field(Metal.COPPER, title="Metal", description="conductor material")
    insulation: Insulation = Field(
        Insulation.T105, title="Insulation", description="insulation temperature class"
    )
    colour: Short = Field("", title="Color", description="empty: by its polarity")
    strands: int | None = Field(
        None, ge=1, le=20000, title="Strands", description="counted in the wire itself"
    )
    strand_m: Drawn | None = Field(
        None,
        ge=0.0000508,
        le=0.0127,
        title="Strand",
        description="diameter of one strand, measured",
    )
    loom: Short = Field(
        "", title="Harness", description="runs with the same word here lie together in one harness"
    )
    bundle: int | None = Field(
        None,
        ge=1,
        le=100,
        title="Bundle",
        description="loaded conductors lying together, itself too; auto: those of its harness",
    )
    cover: Cover | None = Field(
        None,
        title="Cover",
        description="what lies round it and keeps its heat in; auto: tube where the bill has one",
    )
    fused: bool = Field(False, title="Fused", description="it has a fuse at its From end")
    fuse_a: float | None = Field(None, ge=0.1, le=1000, title="Fuse", description="fuse rating")
    fuse_family: FuseFamily | None = Field(
        None, title="Fuse type", description="kind and size of fuse"
    )
    breaks_a: float | None = Field(
        None,
        gt=0,
        le=500000,
        title="Breaks",
        description="largest short that it can break, from its label; auto: usual for its type",
    )
    resets: Resets = Field(
        Resets.HAND, title="Resets", description="how a breaker closes again once it has opened"
    )
    fuse_distance_m: float | None = Field(
        None, ge=0, le=100, title="Wire to fuse", description="wire from the From end to the fuse"
    )
    far_fused: bool = Field(
        False,
        title="2nd fuse",
        description="a second fuse, of the same rating, at its To end",
    )
    far_fuse_distance_m: float | None = Field(
        None, ge=0, le=100, title="Wire to 2nd fuse", description="wire from the To end to it"
    )
    near_end: Termination | None = Field(
        None, title="Terminal at From", description="what is on that end"
    )
    far_end: Termination | None = Field(
        None, title="Terminal at To", description="what is on that end"
    )
    existing: bool = Field(
        False, title="Existing", description="already in the vehicle: not bought, not resized"
    )


class Part(Record):
    """A custom part: panels of one sheet material, joined at bends."""

    name: Name = Field("", title="Part", description="what it is called")
    material: Short = Field("ABS", title="Material", description="sheet material")
    thickness_m: Drawn = Field(
        0.00635, gt=0, le=0.1, title="Thickness", description="sheet thickness"
    )
    carries: Ref = Field(
        "", title="Carries", description="device, or run whose fuse holder is mounted on it"
    )
    load_kg: float = Field(0, ge=0, le=500, title="Weight carried", description="mass it carries")
    quantity: int = Field(1, ge=1, le=200, title="Quantity", description="how many to make")
    both_hands: bool = Field(
        False,
        title="Left and right",
        description="as many again mirrored, for the other side of the vehicle",
    )
    corner_m: Drawn = Field(
        0, ge=0, le=0.5, title="Corner radius", description="radius of the outline's corners"
    )
    cutter_m: Drawn | None = Field(
        None, ge=0.0005, le=0.1, title="Router bit", description="its diameter, if routed"
    )
    edge_m: Drawn = Field(
        0, ge=0, le=0.0508, title="Edge round-over", description="radius where wires pass"
    )
    place: Place = Field(Place.BODY, title="Mounted to", description="what it shakes with")
    seat: Seat = Field(
        Seat.UNKNOWN, title="Backing", description="flush on something stiff, or free on spacers"
    )
    shock_ratio: float = Field(
        5,
        ge=0,
        le=100,
        title="Shock load, g",
        description="load it must stand, in times its own weight",
    )
    box_length_m: Drawn | None = Field(
        None, gt=0, le=10.16, title="Space length", description="measured space for the folded part"
    )
    box_width_m: Drawn | None = Field(
        None,
        gt=0,
        le=10.16,
        title="Space width",
        description="measured space for the folded part",
    )
    box_height_m: Drawn | None = Field(
        None, gt=0, le=10.16, title="Space height", description="measured space for the folded part"
    )
    zone: Ref = Field("", title="Location", description="where it is mounted")


class StockSize(Record):
    """A size in which the shop buys sheet. Where one fits a part, no other size is used."""

    material: Short = Field("", title="Material", description="sheet material; empty: any")
    thickness_m: Drawn | None = Field(
        None, gt=0, le=0.1, title="Thickness", description="sheet thickness; auto: any"
    )
    width_m: Drawn = Field(
        0.6096, ge=0.0254, le=10.16, title="Width", description="across the grain, if there is any"
    )
    length_m: Drawn = Field(
        1.2192, ge=0.0254, le=10.16, title="Length", description="along the grain"
    )


class Panel(Record):
    """One flat panel of a part. The root panel joins nothing; others join a panel at a bend.

    ``length_m`` runs away from the bend, ``width_m`` along it, both measured to the outside
    faces of the finished part.
    """

    part: Ref = Field("", title="Part", description="part it belongs to")
    name: Name = Field("", title="Flange", description="what it is called")
    joins: Ref = Field(
        "", title="Bent from", description="flange it is bent from; empty for the first"
    )
    edge: PanelEdge = Field(
        PanelEdge.FAR,
        title="From edge",
        description="edge of that flange: far is away from its bend",
    )
    up: bool = Field(
        True, title="Bend up", description="towards the marked face, else away from it"
    )
    offset_m: Drawn = Field(
        0, ge=-5, le=5, title="Shifted", description="along that edge, from its middle"
    )
    length_m: Drawn = Field(0.1, gt=0, le=5, title="Length", description="away from the bend")
    width_m: Drawn = Field(0.05, gt=0, le=5, title="Width", description="along the bend")
    bend_deg: float = Field(
        90, ge=0, lt=180, title="Bend", description="angle it is turned through"
    )
    bend_radius_m: Drawn = Field(
        0.00635, ge=0, le=1, title="Inside radius", description="inside radius of the bend"
    )
    score_m: Drawn | None = Field(
        None, gt=0, le=0.0508, title="Score", description="depth of a score along the bend line"
    )


class Fixing(Record):
    """Screws of one kind that hold a part: what they go into. Its holes name it."""

    part: Ref = Field("", title="Part", description="part that they hold")
    into: Into = Field(Into.UNKNOWN, title="Goes into", description="what the screws go into")
    behind_m: Drawn | None = Field(
        None, gt=0, le=0.3, title="Behind", description="thickness of what they go into"
    )
    thread: Short = Field("", title="Thread", description="screw, as M6, #10-24 or #10")
    screw_m: Drawn | None = Field(
        None, gt=0, le=0.508, title="Screw length", description="under the head; auto: to suit"
    )


class Hole(Record):
    """A hole or cut-out in a panel, placed by its centre from the panel's corner."""

    panel: Ref = Field("", title="Flange", description="flange it is in")
    x_m: Drawn = Field(0.01, ge=-5, le=5, title="X", description="along the width, from the left")
    y_m: Drawn = Field(0.01, ge=-5, le=5, title="Y", description="along the length, from the bend")
    shape: HoleShape = Field(HoleShape.ROUND, title="Shape", description="outline of the hole")
    diameter_m: Drawn = Field(
        0.005, gt=0, le=1, title="Diameter", description="as drilled; width of a slot or rectangle"
    )
    across_m: Drawn | None = Field(
        None, gt=0, le=2, title="Overall length", description="of a slot or rectangle"
    )
    turn_deg: float = Field(
        0,
        ge=-180,
        le=180,
        title="Rotated",
        description="of a slot or rectangle, from along the width",
    )
    kind: HoleKind = Field(
        HoleKind.PLAIN, title="Kind", description="plain, for a screw, or for an insert"
    )
    thread: Short = Field("", title="Thread", description="screw that goes in, as M5")
    fixing: Ref = Field("", title="Fixing", description="fixing whose screw goes in here")


class Footprint(Record):
    """The feet of a device: measured once, placed on any panel."""

    name: Name = Field("", title="Hole pattern", description="what it is called")
    device: Ref = Field(
        "",
        title="Device",
        description="device it belongs to, or run whose fuse holder it is, if in the plan",
    )
    mass_kg: float = Field(0, ge=0, le=500, title="Mass", description="mass of the device")
    length_m: Drawn = Field(0.1, gt=0, le=5, title="Length", description="outline of the device")
    width_m: Drawn = Field(0.1, gt=0, le=5, title="Width", description="outline of the device")
    height_m: Drawn = Field(0.05, gt=0, le=5, title="Height", description="height of the device")
    foot_m: Drawn = Field(
        0.003, ge=0, le=0.2, title="Foot thickness", description="of its foot, under a screw head"
    )


class Stud(Record):
    """One fixing point of a footprint, from the footprint's lower left corner."""

    footprint: Ref = Field("", title="Hole pattern", description="hole pattern it belongs to")
    x_m: Drawn = Field(0.01, ge=-5, le=5, title="X", description="from the left")
    y_m: Drawn = Field(0.01, ge=-5, le=5, title="Y", description="from the lower edge")
    kind: HoleKind = Field(HoleKind.CLEARANCE, title="Kind", description="clearance or tapped")
    thread: Short = Field("M5", title="Thread", description="screw that goes in, as M5 or #10-24")
    screw_m: Drawn | None = Field(
        None, gt=0, le=0.508, title="Screw length", description="under its head"
    )


class Mount(Record):
    """A footprint placed on a panel, by its centre."""

    footprint: Ref = Field("", title="Hole pattern", description="hole pattern that is placed")
    panel: Ref = Field("", title="Flange", description="flange that carries it")
    x_m: Drawn = Field(0.05, ge=-5, le=5, title="X", description="center, along the width")
    y_m: Drawn = Field(0.05, ge=-5, le=5, title="Y", description="center, along the length")
    turn_deg: float = Field(0, ge=-180, le=180, title="Rotated", description="counter-clockwise")
    mirrored: bool = Field(False, title="Mirrored", description="seen from the other face")


class CurvePoint(Record):
    """A point of a fuse's opening window, copied from the sheet of the fuse in hand."""

    family: FuseFamily = Field(
        FuseFamily.STRIP_51, title="Fuse type", description="kind and size of fuse"
    )
    rating_a: float | None = Field(
        None, ge=0.1, le=1000, title="Rating", description="rating it is for; auto: all of them"
    )
    current_ratio: float = Field(
        2.0, gt=1, le=1000, title="Times rating", description="current over rated current"
    )
    fastest_s: float | None = Field(
        None,
        gt=0,
        le=864000,
        title="Min time",
        description="shortest time to open, if stated",
    )
    slowest_s: float | None = Field(
        None,
        gt=0,
        le=864000,
        title="Max time",
        description="longest time to open, if it must",
    )


class Leg(Record):
    """One leg of the drive profile."""

    name: Name = Field("", title="Stage", description="what happens")
    engine: Engine = Field(Engine.CRUISE, title="Engine", description="idle, driving or off")
    playing: Playing = Field(Playing.PROGRAMME, title="Playing", description="how loud it plays")
    duration_s: float = Field(
        600, ge=0.1, le=864000, title="Lasts", description="how long this stage is"
    )


class Spot(Record):
    """A candidate place for the fuse of a run."""

    name: Name = Field("", title="Fuse spot", description="where it would sit")
    run: Ref = Field("", title="Run", description="run whose fuse would sit there")
    feed_m: float = Field(
        0.3, ge=0, le=50, title="From battery", description="wire from the feeding end to here"
    )
    onward_m: float | None = Field(
        None,
        ge=0,
        le=100,
        title="Wire after it",
        description="wire from here to the run's other end",
    )
    zone: Ref = Field("", title="Location", description="where it is")
    reach: Reach = Field(Reach.OPEN, title="Access", description="how well it can be serviced")
    hazard: Hazard = Field(Hazard.NONE, title="Not allowed", description="what forbids this place")
    blocks: bool = Field(
        False, title="Blocks access", description="it blocks access to something below"
    )
    into: Into = Field(
        Into.UNKNOWN, title="Screws into", description="what a holder or bracket is screwed to here"
    )
    behind_m: Drawn | None = Field(
        None, gt=0, le=0.3, title="Behind", description="thickness of what it is screwed to"
    )


class Reading(Record):
    """A meter reading taken on the car."""

    at: Ref = Field("", title="At", description="device or run it was taken at")
    meter: Meter = Field(Meter.TERMINALS, title="Across", description="what the probes were on")
    mode: NetworkMode = Field(
        NetworkMode.OFF_PROGRAMME, title="Condition", description="engine and music at that moment"
    )
    value_v: float | None = Field(
        None, ge=-30, le=30, title="Reading", description="what the meter showed"
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


class Build(Document):
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

    @model_validator(mode="after")
    def _ids_and_references(self) -> Self:
        """Ids are unique in the build, and every reference names a record of the right table."""
        problems = reference_problems(self)
        if problems:
            raise ValueError("; ".join(problems[:5]))
        return self

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
