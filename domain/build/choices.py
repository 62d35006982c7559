"""What a field can be chosen from: the trade's kinds, classes and states, by the words shown."""

from enum import StrEnum

from domain.reference.counter_words import words_for
from domain.units import habit

UnitHabit = habit.UnitHabit
"""Inches or metric: the units' own choice."""


class Words(StrEnum):
    """Whose words screens and papers speak."""

    US = "US"
    UK = "British"


class WireSizes(StrEnum):
    """Which series of wire sizes the shop stocks."""

    AWG = "AWG"
    MM2 = "mm2"


class Programme(StrEnum):
    """What is played: sets the average power as a fraction of rated power."""

    MUSIC = "music"
    BASS = "bass"
    TONE = "tone"


class Drive(StrEnum):
    """What moves the vehicle: it decides what charges its 12 V side."""

    COMBUSTION = "combustion"
    HYBRID = "hybrid"
    ELECTRIC = "electric"

    @property
    def high_voltage(self) -> bool:
        """Whether it has a traction battery: orange cables, and a converter for the 12 V side."""
        return self is not Drive.COMBUSTION


class JobState(StrEnum):
    """Where the job stands in the shop."""

    PLANNED = "planned"
    IN_BAY = "in the bay"
    DELIVERED = "delivered"


class Chemistry(StrEnum):
    """Battery chemistry."""

    FLOODED = "flooded"
    AGM = "AGM"
    LIFEPO4 = "LiFePO4"


class LoadKind(StrEnum):
    """How what a load draws follows the voltage."""

    POWER = "constant power"
    CURRENT = "constant current"
    RESISTANCE = "like a resistor"
    INVERTER = "inverter"
    CAPACITOR = "capacitor"


class Works(StrEnum):
    """When a load may run."""

    ALWAYS = "always"
    IGNITION = "with the ignition"
    MUSIC = "with the music"


class SwitchedBy(StrEnum):
    """What switches the devices on that hang on a remote output."""

    HEAD_UNIT = "head unit"
    IGNITION = "ignition circuit"
    HAND = "hand switch"


class LeadKind(StrEnum):
    """What a lead carries that is no run of the power side."""

    REMOTE = "remote"
    SIGNAL = "signal"
    SPEAKER = "loudspeaker"


class AmplifierClass(StrEnum):
    """Output stage class; sets the default efficiency and how it falls with level."""

    AB = "AB"
    D = "D"
    GH = "G/H"


class BlockKind(StrEnum):
    """What a block does."""

    DISTRIBUTION = "distribution"
    GROUND = "ground"
    ISOLATOR = "isolator"
    BUS_BAR = "bus bar"

    @property
    def distributes(self) -> bool:
        """Whether positive branches are fed from it, all at one potential."""
        return self in (BlockKind.DISTRIBUTION, BlockKind.BUS_BAR)


class Isolates(StrEnum):
    """How an isolator joins the batteries on its two sides."""

    RELAY = "relay"
    SWITCH = "switch"
    DIODE = "diode"
    IDEAL_DIODE = "ideal diode"
    CONVERTER = "DC-DC charger"

    @property
    def one_way(self) -> bool:
        """Whether it passes current from its input to its output only."""
        return self in (Isolates.DIODE, Isolates.IDEAL_DIODE, Isolates.CONVERTER)


class Surface(StrEnum):
    """How a ground point's metal is prepared."""

    BARE = "bare metal"
    PLATED = "plated stud"
    PAINTED = "painted"
    UNKNOWN = "unknown"


class Polarity(StrEnum):
    """Which side of the system a run belongs to."""

    POSITIVE = "positive"
    GROUND = "ground"


class Metal(StrEnum):
    """Conductor material of a run."""

    COPPER = "copper"
    TINNED = "tinned copper"
    CCA = "copper-clad aluminium"


class Insulation(StrEnum):
    """Conductor insulation temperature class, in degrees Celsius."""

    T60 = "60 C"
    T75 = "75 C"
    T80 = "80 C"
    T90 = "90 C"
    T105 = "105 C"
    T125 = "125 C"

    @property
    def celsius(self) -> float:
        """The class as a number [C]."""
        return float(self.value.split()[0])


class Cover(StrEnum):
    """What lies round a run all along, so that it loses less heat."""

    OPEN = "open air"
    TUBE = "tube"
    CARPET = "carpet"


class FuseFamily(StrEnum):
    """Fuse families: parts of ISO 8820, those of the trade beside it, and thermal breakers."""

    BLADE_F = "blade F (mini)"
    BLADE_C = "blade C (medium)"
    BLADE_E = "blade E (large)"
    CARTRIDGE_A = "cartridge A"
    STRIP_30 = "strip SF 30"
    STRIP_51 = "strip SF 51"
    CUBE = "post cube"
    CLASS_T = "class T"
    ANL = "ANL"
    AGU = "AGU (glass)"
    BREAKER = "breaker"


class Resets(StrEnum):
    """How a breaker that has opened closes again (types of SAE J553)."""

    HAND = "by hand"
    ITSELF = "by itself"


class Termination(StrEnum):
    """What is on a wire's end."""

    RING = "ring terminal"
    FERRULE = "ferrule"
    BARE = "bare"


class Cutting(StrEnum):
    """What cuts blanks out of sheets."""

    SAW = "saw"
    ROUTER = "router"


class HoleKind(StrEnum):
    """What a hole in a custom part is for."""

    PLAIN = "plain"
    CLEARANCE = "clearance"
    TAPPED = "tapped"
    COUNTERSUNK = "countersunk"
    INSERT = "heat-set insert"
    RIVET_NUT = "rivet nut"

    @property
    def through(self) -> bool:
        """Whether the screw passes through to a nut, or to what lies behind."""
        return self in (HoleKind.CLEARANCE, HoleKind.COUNTERSUNK)

    @property
    def threaded(self) -> bool:
        """Whether the screw ends in this hole: in its thread, or in an insert set into it."""
        return self in (HoleKind.TAPPED, HoleKind.INSERT, HoleKind.RIVET_NUT)


class Into(StrEnum):
    """What the screws that hold a part go into."""

    UNKNOWN = "not told"
    PANEL_NUT = "body panel, nut behind"
    PANEL = "body panel, tapping screw"
    RIVET_NUT = "rivet nut in body panel"
    BRACKET = "existing bracket, nut behind"
    TAPPED = "tapped metal part"
    INSERT = "insert in plastic or wood"
    WOOD = "wood"


class Engine(StrEnum):
    """What the engine does during a leg of a drive."""

    IDLE = "idle"
    CRUISE = "cruise"
    OFF = "off"


class Playing(StrEnum):
    """How loud it plays during a leg of a drive."""

    SILENT = "silent"
    PROGRAMME = "programme"
    TONE = "full tone"


class Reach(StrEnum):
    """How well a fuse spot can be reached for service."""

    OPEN = "open"
    TOOLS = "with tools"
    HIDDEN = "hidden"


class Hazard(StrEnum):
    """What rules a fuse spot out."""

    NONE = "none"
    MOVING = "moving parts"
    EXHAUST = "exhaust heat"
    AIRBAG = "airbag parts behind"
    FUEL = "fuel or brake lines behind"
    WATER = "standing water"


class Meter(StrEnum):
    """What a meter reading was taken across."""

    TERMINALS = "across its terminals"
    ALONG = "along the run"
    TO_BATTERY = "from it to the battery's negative post"


class NetworkMode(StrEnum):
    """The state of engine and music in which a reading was taken."""

    CRUISE_PROGRAMME = "cruise-programme"
    CRUISE_TONE = "cruise-tone"
    IDLE_PROGRAMME = "idle-programme"
    IDLE_TONE = "idle-tone"
    OFF_PROGRAMME = "off-programme"
    OFF_TONE = "off-tone"


class Finish(StrEnum):
    """How far the visible work is taken."""

    PLAIN = "plain"
    CLEAN = "clean"
    SHOW = "show"


class HoleShape(StrEnum):
    """Outline of a hole or cut-out."""

    ROUND = "round"
    SLOT = "slot"
    RECTANGLE = "rectangle"


class PanelEdge(StrEnum):
    """Edge of the parent panel that a panel is bent from."""

    FAR = "far"
    NEAR = "near"
    LEFT = "left"
    RIGHT = "right"


class Seat(StrEnum):
    """What lies behind a part where it is screwed on: it decides more than its thickness."""

    UNKNOWN = "not told"
    FLUSH = "flush on something stiff"
    SPACERS = "on spacers"


class Place(StrEnum):
    """Where a part shakes, by the vibration profiles of ISO 16750-3."""

    BODY = "body"
    TRUCK_BODY = "truck body"
    ENGINE = "engine"
    UNSPRUNG = "unsprung"


SHOWN: dict[str, str] = {
    Programme.BASS: "bass-heavy",
    Programme.TONE: "test tone",
    Engine.CRUISE: "driving",
    Playing.PROGRAMME: "average",
    Playing.TONE: "full power",
    NetworkMode.CRUISE_PROGRAMME: "driving, average",
    NetworkMode.CRUISE_TONE: "driving, full power",
    NetworkMode.IDLE_PROGRAMME: "at idle, average",
    NetworkMode.IDLE_TONE: "at idle, full power",
    NetworkMode.OFF_PROGRAMME: "engine off, average",
    NetworkMode.OFF_TONE: "engine off, full power",
    Place.UNSPRUNG: "wheel or axle",
    Meter.ALONG: "end to end of the run",
}
"""Words shown for a choice where they are not those that are stored: a file, a store and what was
always typed keep the old ones. Fuses go by the counter's names, of their own table."""


_BY_COUNTER = frozenset(FuseFamily)
"""Choices that are shown by the name that a counter has for them."""


def shown(choice: str) -> str:
    """The words of a choice on screen and paper."""
    if choice in SHOWN:
        return SHOWN[choice]
    words = words_for(str(choice)) if choice in _BY_COUNTER else None
    return words.shown if words else str(choice)
