"""The sheet: every result of one build, as frozen values in SI units.

Nothing in it is ever stored; it is made anew by ``domain.evaluate.evaluate``. ``None`` stands for
a figure that does not exist (a drop on a run that leads nowhere), never NaN.
"""

from collections.abc import Callable
from copy import copy
from dataclasses import dataclass, fields
from typing import Any

from msgspec import Struct

from domain.findings import Finding, Level


class AmplifierLoad(Struct, frozen=True):
    """What one amplifier, or another load, draws, and what reaches it.

    ``design_a`` is the current at full tone with the battery posts held at the design voltage;
    ``programme_a`` the average current of the programme there. ``drop_v`` is the loss from the
    feeding battery's posts to the amplifier and back at full tone, ``drop_feed_v`` its positive
    share and ``drop_return_v`` its ground share. ``ground_offset_v`` is how far its negative
    terminal lies above the signal source's ground then (above the body's star point where no
    ground point is marked as the signal's).
    """

    id: str
    name: str
    rated_w: float
    efficiency: float
    design_a: float
    programme_a: float
    idle_a: float
    feed: str
    drop_v: float | None
    drop_feed_v: float | None
    drop_return_v: float | None
    ground_offset_v: float | None
    feed_runs: tuple[str, ...]
    return_runs: tuple[str, ...]


class RunResult(Struct, frozen=True):
    """One run as the engine sees it: conductor, fuse, current, drop and temperature.

    A run may be ``count`` wires side by side. Length, area, ampacity, fuse, currents and
    temperature are those of one of them; resistance, drop, heat and mass those of all together.

    ``gauge`` and ``fuse_a`` are the pinned values where the user pinned them (``gauge_auto``,
    ``fuse_auto`` false), else the engine's choice. ``length_m`` is the measured or assumed route,
    ``wire_m`` that plus slack: what is cut and what carries the current. ``ampacity_a`` is after
    corrections for zone, bundle and cover. ``protected_a`` is the most that fuses let into the wire
    for good, pieces ahead of its own fuse apart, ``unprotected_m`` those and what nothing limits.
    ``bundle`` is how many loaded conductors lie together, itself too: pinned, else those of its
    loom (``bundle_auto``); ``cover`` what lies round it. ``one_open_a`` is
    what a wire carries at full tone when the fuse of one beside it is open, ``None`` where it lies
    alone.
    """

    id: str
    name: str
    polarity: str
    source: str
    target: str
    depth: int
    feeds: tuple[str, ...]
    length_m: float
    length_auto: bool
    wire_m: float
    gauge: str
    gauge_auto: bool
    gauge_why: str
    area_mm2: float
    metal: str
    resistance_ohm: float
    ampacity_a: float
    ambient_c: float
    temperature_c: float
    design_a: float
    programme_a: float
    drop_v: float
    heat_w: float
    fuse_a: float | None
    fuse_auto: bool
    fuse_family: str
    fuse_least_a: float
    fuse_distance_m: float | None
    protected_a: float | None
    unprotected_m: float | None
    conductor_kg: float
    existing: bool
    count: int = 1
    one_open_a: float | None = None
    bundle: int = 1
    bundle_auto: bool = True
    cover: str = "open air"


class SegmentResult(Struct, frozen=True):
    """What protects a piece of a run's wire between its ends and its fuses.

    ``lasting_a`` is the most that can flow into it for good (``None``: nothing limits it; for a
    ground: the most that it returns), ``limits`` the runs whose fuses and the sources that
    limit it, ``cause`` the fault that makes a ground return so much; ``through_a`` what passes
    through it while the fault is elsewhere. ``carries_a`` is its ampacity, ``limit_a`` the
    current that ends at its limit temperature. Of all shorts behind its own fuses the worst is
    at ``short_a``: ``opener`` opens at the latest after ``opens_s``, the wire stands it for
    ``stands_s``, with ``beside_a`` on top that other loads return through a ground.
    ``shared_ratio`` is how often it takes the heat that it stands, in the worst
    short that several sources feed: at ``shared_place`` through ``shared_ohm``, drawing
    ``shared_a``, while ``shared_opened`` open one after the other. ``verdict`` says what follows,
    ``harm`` how bad it is; ``assumed``: its length rests on a fuse that is not placed yet.
    """

    id: str
    run: str
    start_m: float
    end_m: float
    assumed: bool
    verdict: str
    harm: str
    lasting_a: float | None
    through_a: float | None
    carries_a: float
    limit_a: float
    limits: tuple[str, ...]
    cause: str
    fuses: tuple[str, ...]
    opener: str
    short_a: float | None
    opens_s: float | None
    stands_s: float | None
    beside_a: float
    shared_ratio: float | None
    shared_ohm: float | None
    shared_a: float | None
    shared_place: str
    shared_opened: tuple[str, ...]


class FuseStudy(Struct, frozen=True):
    """Does a fuse open before the wire that it guards is hurt?

    ``fault_near_a`` is the greatest dead short right behind the fuse (full batteries at their least
    resistance, and alternators), ``fault_far_a`` the least that the fuse sees of one at the far
    end of what it guards (batteries at the planning charge). ``must_open_a`` is the smallest
    current at which it must open, ``opens_far_s`` its slowest time at the far fault and
    ``stands_far_s`` what the weakest guarded wire (``weakest``) stands there. ``margin`` is the
    least of stand over open between those currents, at ``margin_at_a``; ``None`` where the wire
    is never hurt or the fuse never has to open.
    ``opens``: the far fault opens it at all; ``protects``: at every current it opens first;
    ``breaks``: the near fault is within its breaking capacity; ``first``: no other fuse precedes
    it. ``selective``: it is open before
    the fuse upstream begins to melt, ``None`` where there is none.
    """

    id: str
    rating_a: float
    family: str
    curve: str
    guarded: tuple[str, ...]
    weakest: str
    fault_near_a: float
    fault_far_a: float
    must_open_a: float | None
    opens_far_s: float | None
    stands_far_s: float | None
    margin: float | None
    margin_at_a: float | None
    breaking_a: float
    opens: bool
    protects: bool
    breaks: bool
    first: bool
    upstream: str
    selective: bool | None


class Design(Struct, frozen=True):
    """A set of gauges beside the chosen one: what it costs and what it drops at full tone.

    ``fits`` is false where a size does not go into its terminals or is not stocked.
    """

    title: str
    copper_kg: float
    worst_drop_v: float
    gauges: dict[str, str]
    fits: bool


class NetworkState(Struct, frozen=True):
    """The solved network in one state.

    ``id`` is "cruise-programme", "cruise-tone", "idle-programme", "idle-tone", "off-programme"
    or "off-tone". ``collapsed`` means that the loads ask for more than the wiring and supply
    can pass: some amplifier lies below its lowest working voltage, and ``blame`` names the run
    (or battery) with the greatest loss on the way to it. ``node_v`` is each node's voltage
    against the chassis star; ``current_a`` each run's current, positive from source to target;
    amplifier and battery currents are positive when drawn and when delivered.
    ``power_error`` is |source power - load power - heat| over source power. ``parted`` are the
    relays that join by voltage and do not here; ``None`` where the build has none.
    """

    id: str
    title: str
    converged: bool
    collapsed: bool
    blame: str
    node_v: dict[str, float]
    current_a: dict[str, float]
    amplifier_v: dict[str, float]
    amplifier_a: dict[str, float]
    battery_a: dict[str, float]
    battery_v: dict[str, float]
    alternator_a: dict[str, float]
    source_w: float
    load_w: float
    heat_w: float
    power_error: float
    off: tuple[str, ...]
    parted: tuple[str, ...] | None = None


class BlockResult(Struct, frozen=True):
    """The largest wire that each side of a block takes: as entered, else what its wires ask for.

    Of a bus bar ``bar_m`` is width and thickness, ``None`` where its label says what it carries or
    no bar is large enough; ``bar_holds_a`` what it carries for good, ``bar_carries_a`` what flows.
    """

    id: str
    name: str
    largest_in: str
    largest_out: str
    bar_m: tuple[float, float] | None = None
    bar_holds_a: float | None = None
    bar_carries_a: float = 0.0


class IsolatorResult(Struct, frozen=True):
    """What one isolator passes [A], for good and for seconds.

    ``lasting_a`` for good, with ``lasting_why``; ``full_a`` with the music at full output;
    ``joining_a`` as it closes between a full side and a half-empty one; ``starting_a`` while the
    engine is started through it (0: it is open then). ``passes_a`` is what it stands for seconds:
    its peak rating, or 150 % of what it carries for good (``None``: neither is entered).
    """

    id: str
    name: str
    lasting_a: float
    lasting_why: str
    full_a: float
    joining_a: float
    starting_a: float
    passes_a: float | None


class GroundResult(Struct, frozen=True):
    """One ground point: what returns through it and what it costs."""

    id: str
    name: str
    amplifiers: tuple[str, ...]
    wires: int
    resistance_ohm: float
    resistance_auto: bool
    design_a: float
    rise_v: float


class Supply(Struct, frozen=True):
    """Can alternator and batteries feed it: currents at the design voltage, time on the battery.

    A positive ``*_balance_a`` is a surplus for charging, a negative one is taken from the
    battery. ``minutes_to_half_*`` is how long from the planning charge to half, ``None`` where
    the battery is not drained. ``play_minutes`` is the same with the engine off, for the battery
    that is first there or at the cut-off voltage. ``chargers_a`` is what DC-DC chargers take where
    alternators feed while they charge, ``chargers_full_a`` once their batteries are full;
    ``behind_a`` is the part of ``programme_a`` that is drawn behind them, and so is in both.
    """

    capacity_ah: float
    vehicle_a: float
    programme_a: float
    design_a: float
    cruise_a: float
    idle_a: float
    cruise_balance_a: float
    idle_balance_a: float
    minutes_to_half_idle: float | None
    minutes_to_half_cruise: float | None
    play_minutes: float | None
    sag_v: float
    chargers_a: float = 0.0
    chargers_full_a: float = 0.0
    behind_a: float = 0.0


class SpotResult(Struct, frozen=True):
    """One candidate place for a run's fuse, ranked among those of the same run (1 is best).

    ``unprotected_m`` is the wire ahead of the fuse there, ``heat_margin_c`` what a moulded
    holder has left; ``why`` says in words what decides.
    """

    id: str
    name: str
    run: str
    rank: int
    ruled_out: bool
    unprotected_m: float
    wire_m: float
    heat_margin_c: float
    why: str


class DrivePoint(Struct, frozen=True):
    """One moment of the drive profile: post voltage of the starter battery and what flows.

    ``charge`` is each battery's state of charge (0 to 1), ``given_a`` the current out of it,
    ``lowest_v`` the lowest voltage at an amplifier, ``off`` the amplifiers that have switched off.
    """

    time_s: float
    leg: str
    post_v: float
    lowest_v: float | None
    charge: dict[str, float]
    alternator_a: float
    battery_a: float
    load_a: float
    off: tuple[str, ...]
    given_a: dict[str, float]


class DriveResult(Struct, frozen=True):
    """The drive profile, simulated: points in time and the balance of charge over all of it.

    Charge into the batteries, less charge out of them, less what is lost is what they have stored
    more at the end: ``lost_ah`` is what charging turns to gas and heat, and what a battery that
    is drained fast does not give. ``stops_s`` is when a battery, with the engine off, is first
    half empty or at the cut-off voltage: there the music should stop.
    """

    step_s: float
    points: tuple[DrivePoint, ...]
    charged_ah: dict[str, float]
    discharged_ah: dict[str, float]
    stored_ah: dict[str, float]
    lost_ah: dict[str, float]
    stops_s: dict[str, float]


class HoleResult(Struct, frozen=True):
    """One hole in the flat pattern [m], from the pattern's lower left corner.

    ``id`` is the hole's, or mount and stud as "o1.u2" where a footprint asks for it.
    ``diameter_m`` is what is cut, the width of a slot or rectangle.
    """

    id: str
    x_m: float
    y_m: float
    diameter_m: float
    drill: str
    panel: str = ""
    kind: str = "plain"
    thread: str = ""
    shape: str = "round"


class ScrewLoad(Struct, frozen=True):
    """What a screw that holds a part takes [N] under the part's times gravity, from the worst side.

    ``pull_n`` is straight off the sheet, what the sheet pries on its washer added; ``shear_n`` is
    along the sheet. ``id`` is that of the hole that it goes through. ``margin`` is over the load
    at which ``weakest`` gives way, in the part or in what is behind it, ``None`` for a thread that
    no table has. ``torque_nm`` is how tight it is drawn [N m], ``None`` by hand or where nobody
    said what it goes into; ``grip_n`` what the friction of that holds along the sheet.
    """

    id: str
    pull_n: float
    shear_n: float
    margin: float | None = None
    weakest: str = ""
    torque_nm: float | None = None
    grip_n: float | None = None


class StrengthResult(Struct, frozen=True):
    """What a custom part does under what it carries; ``id`` is the part's.

    ``deflection_m`` and ``stress_pa`` are under ``shock_ratio`` times gravity. The stress is
    highest in ``panel``, or at the bend that it hangs on where ``bend`` says so. ``strength_pa`` is
    the material's at ``temperature_c``, of which the heat has left ``heat_fraction`` (0: it has
    softened, then the other figures are those at room temperature and both margins are 0).
    ``margin`` is ``None`` where no static load is asked for. ``response_ratio`` is the r.m.s.
    answer to the place's profile (``psd_m2_s3`` at the natural frequency) as a multiple of gravity,
    ``shaking_pa`` the 3 sigma stress. ``reach_m`` is from the point of the sheet that is furthest
    from any screw to its nearest one; ``screws`` are those that hold the part. ``section`` is
    whether the highest stress is that of a net section, across holes or over a score;
    ``clamped`` whether only its washers keep the part from tipping, its screws being in one line.
    ``lasting_sag_m`` is the sag under its mere weight after a thousand hours, ``lasting_margin``
    the strength that lasts for years over the stress of that weight.
    """

    id: str
    load_kg: float
    own_mass_kg: float
    shock_ratio: float
    reach_m: float
    deflection_m: float
    stress_pa: float
    panel: str
    bend: bool
    temperature_c: float
    heat_fraction: float
    strength_pa: float
    margin: float | None
    natural_hz: float
    psd_m2_s3: float
    quality: float
    response_ratio: float
    shaking_pa: float
    shaking_margin: float
    lasting_sag_m: float = 0.0
    lasting_margin: float | None = None
    section: bool = False
    clamped: bool = False
    screws: tuple[ScrewLoad, ...] = ()

    @property
    def least_margin(self) -> float:
        """The lesser of both margins."""
        return min(self.shaking_margin if self.margin is None else self.margin, self.shaking_margin)


class PartResult(Struct, frozen=True):
    """One custom part: flat pattern size, area and mass of one piece.

    ``envelope_m`` is the box round the folded part, along its root panel's width, along its
    length, and up [m]. ``strength`` is ``None`` where it carries nothing, or it cannot be told.
    ``quantity`` counts both hands of a part that is made for left and right.
    ``grain`` is which way the sheet's length must lie in it: "length", "width", or "" for any.
    """

    id: str
    name: str
    shape: str
    material: str
    thickness_m: float
    flat_length_m: float
    flat_width_m: float
    area_m2: float
    mass_kg: float
    bends: int
    bend_allowance_m: float
    holes: tuple[HoleResult, ...]
    quantity: int
    envelope_m: tuple[float, float, float] = (0.0, 0.0, 0.0)
    strength: StrengthResult | None = None
    grain: str = ""


class LoomStretch(Struct, frozen=True):
    """A stretch of a loom, with the runs that lie in it.

    ``id`` is the loom's and the stretch's number (the run's where it lies alone). It reaches
    from ``start_m`` to ``end_m`` along the wire; ``bundle_m`` is the diameter of the bundle and
    ``over_m`` that over its tube, of the size ``tube`` ("" where it is bare, or where no tube is
    large enough).
    """

    id: str
    runs: tuple[str, ...]
    start_m: float
    end_m: float
    bundle_m: float
    tube: str
    over_m: float


class Loom(Struct, frozen=True):
    """Runs that lie together, from where all of them lie in it to where the longest goes on alone.

    ``id`` is the word that its runs share, folded; ``name`` that word as first typed ("" for a
    run that lies alone, whose id it then is). ``sleeved`` looms are in a tube throughout.
    """

    id: str
    name: str
    runs: tuple[str, ...]
    sleeved: bool
    stretches: tuple[LoomStretch, ...]


class MaterialLine(Struct, frozen=True):
    """One line of the bill of materials.

    ``quantity`` is what to buy in ``unit`` (``m`` for wire, loom and heat-shrink; ``each``;
    ``m2`` for sheet that goes on no size), after slack and rounding up to how it is sold;
    ``needed`` is before rounding. ``asked_by`` are the ids of the records behind the line.
    ``each_m2`` is the area of one sheet where sheets are counted.
    """

    group: str
    item: str
    size: str
    quantity: float
    unit: str
    needed: float
    asked_by: tuple[str, ...]
    note: str = ""
    each_m2: float | None = None


class LeadResult(Struct, frozen=True):
    """A switching, signal or loudspeaker lead, or one of the wires of a relay that feeds such.

    ``id`` is the lead's; of the wires of a relay it is that of its output and which wire it is:
    "t1.coil". ``source`` and
    ``target`` are in words. ``carries_a`` is what flows in it for good, ``None`` where that is not
    asked; ``gauge`` is "" of signal cables; ``fuse_a`` a fuse at its beginning. ``drop_v`` is lost
    along it, one way.
    """

    id: str
    name: str
    kind: str
    source: str
    target: str
    count: int
    length_m: float
    length_auto: bool
    wire_m: float
    gauge: str
    gauge_auto: bool
    carries_a: float | None = None
    draw_auto: bool = True
    drop_v: float | None = None
    fuse_a: float | None = None
    holds_a: float | None = None

    @property
    def record(self) -> str:
        """The record that it is of: a lead, or a remote output."""
        return self.id.partition(".")[0]


class RemoteResult(Struct, frozen=True):
    """A remote output: what it must give [A] against what it can, and its relay, if it has one.

    ``devices_a`` is what its devices draw; ``given_a`` what the output itself gives: that, or the
    coil of the relay. ``feed`` is the device that feeds the relay, "" where nothing does.
    """

    id: str
    name: str
    devices: int
    devices_a: float
    given_a: float
    limit_a: float
    limit_auto: bool
    relay: bool
    relay_auto: bool
    fuse_a: float | None = None
    feed: str = ""


NO_SUPPLY = Supply(0, 0, 0, 0, 0, 0, 0, 0, None, None, None, 0)
"""Of a build without anything."""

_LATER = " later"
"""Where a sheet keeps how to work out what was left for later."""


@dataclass(frozen=True)
class Sheet:
    """Everything that follows from one build.

    Fields that no finding rests on may be left for later (``with_later``): many evaluations, such
    as those that try what mends a finding, are made for their findings alone.
    """

    title: str
    amplifiers: tuple[AmplifierLoad, ...]
    appliances: tuple[AmplifierLoad, ...]
    runs: tuple[RunResult, ...]
    designs: tuple[Design, ...]
    studies: tuple[FuseStudy, ...]
    segments: tuple[SegmentResult, ...]
    states: tuple[NetworkState, ...]
    blocks: tuple[BlockResult, ...]
    grounds: tuple[GroundResult, ...]
    spots: tuple[SpotResult, ...]
    supply: Supply
    parts: tuple[PartResult, ...]
    looms: tuple[Loom, ...]
    materials: tuple[MaterialLine, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[str, ...]
    remotes: tuple[RemoteResult, ...] = ()
    leads: tuple[LeadResult, ...] = ()
    isolators: tuple[IsolatorResult, ...] = ()

    @classmethod
    def awaited(cls, title: str) -> "Sheet":
        """What is known of a build before anything of it is worked out: nothing of any record."""
        none: dict[str, Any] = {each.name: () for each in fields(cls)}
        return cls(**{**none, "title": title, "supply": NO_SUPPLY})

    def with_later(self, **later: Callable[[], object]) -> "Sheet":
        """The same with fields that are worked out when they are first looked at."""
        found = copy(self)
        for field in later:
            del vars(found)[field]
        vars(found)[_LATER] = later
        return found

    def __getattr__(self, name: str) -> object:
        """A field that was left for later: it is kept from now on."""
        later = vars(self).get(_LATER, {})
        if name not in later:
            raise AttributeError(name)
        vars(self)[name] = found = later[name]()
        return found

    def run(self, id: str) -> RunResult | None:
        """The result of one run."""
        return next((run for run in self.runs if run.id == id), None)

    def load(self, id: str) -> AmplifierLoad | None:
        """The result of one amplifier or other load by its id."""
        return next((load for load in self.loads if load.id == id), None)

    @property
    def loads(self) -> tuple[AmplifierLoad, ...]:
        """Everything that takes current, amplifiers first."""
        return self.amplifiers + self.appliances

    def segments_of(self, run: str) -> tuple[SegmentResult, ...]:
        """The pieces of one run, from its source on."""
        return tuple(segment for segment in self.segments if segment.run == run)

    def study(self, id: str) -> FuseStudy | None:
        """The protection study of the fuse in one run."""
        return next((study for study in self.studies if study.id == id), None)

    def state(self, id: str) -> NetworkState | None:
        """One solved state, by its id."""
        return next((state for state in self.states if state.id == id), None)

    def count(self, level: Level) -> int:
        """How many findings have this level."""
        return sum(finding.level is level for finding in self.findings)
