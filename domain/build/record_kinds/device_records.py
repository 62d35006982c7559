"""The devices of the power side, sources and loads and what joins them, and where they sit."""

from typing import Annotated

from domain.build.choices import (
    AmplifierClass,
    BlockKind,
    Chemistry,
    Isolates,
    LoadKind,
    Surface,
    Works,
)
from domain.document.declared import About, Drawn, Gauge, Kind, Name, Ref, Short
from domain.document.records import Record


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
