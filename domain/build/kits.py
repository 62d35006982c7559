"""What people do as one command: each brings its devices, runs, fuses and grounds as one edit."""

from collections.abc import Callable

from msgspec import Struct

from domain.build import actions, run_ends
from domain.build.choices import BlockKind, Isolates, LeadKind, LoadKind, Polarity, Works
from domain.build.dialect import in_words, words_of
from domain.build.edits import Batch, Edit, EditRefused, Scalar, SetField
from domain.build.grounding import has_room, new_grounds
from domain.build.house_side import house_battery
from domain.build.records import Build, Run
from domain.document.records import label
from domain.reference.planning import planned

RELAY_A, CHARGER_A, INVERTER_W = 140.0, 40.0, 1000.0
"""Usual sizes that a new isolator relay, DC-DC charger and inverter begin with: examples to edit.

Relays of the trade carry 100 to 140 A, chargers are sold for 10 to 200 A. Makers' sheets.
"""

SWITCH_A = 300.0
"""What a usual battery main switch carries for good: 200 to 300 A, from memory."""

INVERTER_IDLE_A = 0.8
"""What an inverter of a kilowatt draws with nothing plugged in: 0.4 to 1.5 A, from memory."""

LEAK_A = 0.005
"""What a capacitor of the trade leaks, its display apart: some mA, from memory."""

USED = 0.25
"""Share of an inverter's power that is used on average, to begin with: an example to edit."""

BANK_AH = 100.0
"""Capacity of a LiFePO4 battery of a bank, to begin with: the usual block of 12.8 V, to edit."""

BANK = 4
"""Batteries of a bank: as many as rings keep their pressure on one stud.

ABYC E-11, from memory.
"""


class Kit(Struct, frozen=True):
    """A command: its name and words for palette and lists, and the edit that it makes."""

    id: str
    title: str
    help: str
    make: Callable[[Build], Batch]


class _Steps:
    """Edits one after the other, each made on the build after those before it."""

    def __init__(self, build: Build) -> None:
        self.build = build
        self.edits: list[Edit] = []

    def add(self, edit: Edit) -> None:
        self.edits.append(edit)
        self.build = actions.applied(self.build, edit)

    def new(self, table: str, **values: Scalar) -> str:
        """Add a record with what comes with it; its id."""
        had = {record.id for record in getattr(self.build, table)}
        self.add(actions.add(self.build, table, **values))
        return str(next(r.id for r in getattr(self.build, table) if r.id not in had))

    def run(self, source: str, target: str, **values: Scalar) -> str:
        """Add a run; its id."""
        self.add(run_ends.add_run(self.build, source, target, **values))
        return self.build.runs[-1].id

    def set(self, id: str, **values: Scalar) -> None:
        """Set fields of a run."""
        for field, value in values.items():
            self.add(SetField(table="runs", id=id, field=field, value=value))


def battery_behind(build: Build, isolates: Isolates) -> Batch:
    """A further battery behind an isolator of this kind, joined to the starter battery.

    A relay sits beside the starter battery, a DC-DC charger beside the battery that it charges;
    both are fused on the side of either battery, and a charger has its ground lead.
    """
    if not build.batteries:
        raise EditRefused("there is no starter battery yet: add that one first")
    starter = build.batteries[0]
    steps = _Steps(build)
    battery = steps.new("batteries")
    link = _link_to(steps.build, battery)
    charger = isolates is Isolates.CONVERTER
    beside = battery if charger else starter.id
    name = f"{'Charger' if charger else 'Isolator'} of {label(steps.build, battery)}"
    isolator = steps.new(
        "blocks",
        name=name,
        kind=BlockKind.ISOLATOR,
        isolates=isolates,
        rated_a=CHARGER_A if charger else RELAY_A,
        zone=_zone(steps.build, beside),
    )
    steps.set(link, source=isolator, fused=False, fuse_distance_m=None)
    steps.run(
        starter.id,
        isolator,
        zone=starter.zone,
        fused=True,
        fuse_distance_m=planned("assumed_fuse_m"),
    )
    if charger:
        steps.run(isolator, _free_ground(steps, battery))
    what = "a DC-DC charger" if charger else f"an isolator ({isolates.value})"
    return Batch(edits=tuple(steps.edits), label=f"add a battery behind {what}")


def bank_in_the_boot(build: Build) -> Batch:
    """Four LiFePO4 batteries side by side on the block that feeds the music, behind an isolator.

    The main run leads to that block from the isolator then, which sits beside the starter battery;
    each wire of it is fused at either end, as either feeds it. The batteries have a ground of
    their own, and each a fuse at its own post and one at the block, so that none feeds a fault in
    the lead of another; leads of one length and gauge share the current alike.
    """
    if not build.batteries:
        raise EditRefused("there is no starter battery yet: add that one first")
    starter = build.batteries[0]
    steps = _Steps(build)
    mains = [run for run in build.runs if run.source == starter.id and _feeds_blocks(build, run)]
    wires = max((run.count for run in mains[:1]), default=1)
    bus = mains[0].target if mains else steps.new("blocks", name="Battery bus", places=BANK)
    place = next(block.zone for block in steps.build.blocks if block.id == bus)
    home = steps.new("grounds", name=in_words(words_of(build.header), "Bank ground"), zone=place)
    for number in range(1, BANK + 1):
        kind: dict[str, Scalar] = {"chemistry": "LiFePO4", "capacity_ah": BANK_AH}
        battery = steps.new("batteries", name=f"Bank {number}", zone=place, **kind)
        link = _link_to(steps.build, battery)
        steps.set(link, source=battery, target=bus, zone=place)
        steps.set(link, far_fuse_distance_m=0.0, name=f"Bank {number} lead")
        back = next(r.id for r in steps.build.runs if r.source == battery and r.id != link)
        steps.set(back, target=home)
    isolator = steps.new(
        "blocks",
        name="Bank isolator",
        kind=BlockKind.ISOLATOR,
        isolates=Isolates.RELAY,
        zone=starter.zone,
    )
    several = wires > 1  # a short in one of them is fed through the isolator by the others
    at_isolator: dict[str, Scalar] = {"far_fused": True, "far_fuse_distance_m": 0.0}
    steps.run(
        starter.id,
        isolator,
        zone=starter.zone,
        count=wires,
        fused=True,
        fuse_distance_m=planned("assumed_fuse_m"),
        **(at_isolator if several else {}),
    )
    if mains:
        main = mains[0].id
        steps.add(run_ends.feed_from(steps.build, main, isolator))
    else:
        main = steps.run(isolator, bus, zone=starter.zone)
    steps.set(main, fused=several, fuse_distance_m=0.0 if several else None)
    steps.set(main, far_fused=True, far_fuse_distance_m=0.0)
    for run in mains[1:]:
        steps.add(run_ends.feed_from(steps.build, run.id, bus))
    renewed, said = new_grounds(build, starter.id, wires)
    edits = (*steps.edits, *renewed)
    return Batch(edits=edits, label=f"add a bank of {BANK} LiFePO4 batteries{said}")


def inverter(build: Build) -> Batch:
    """An inverter with its branch, fuse and ground; the ground of its battery is laid anew.

    What it draws, and a short inside it, come back there: to the house battery where there is one.
    """
    values = {"power_w": INVERTER_W, "duty": USED, "idle_a": INVERTER_IDLE_A}
    edit = actions.add(build, "appliances", kind=LoadKind.INVERTER, **values)
    home = house_battery(build) or next(iter(build.batteries), None)
    renewed, said = new_grounds(build, home.id) if home else ((), "")
    return Batch(edits=(*edit.edits, *renewed), label=f"{edit.label}{said}")


def _feeds_blocks(build: Build, run: Run) -> bool:
    distribution = {b.id for b in build.blocks if b.kind.distributes}
    return run.polarity is Polarity.POSITIVE and run.target in distribution


def _link_to(build: Build, battery: str) -> str:
    """The run that was brought to feed a new battery."""
    return next(
        run.id for run in build.runs if run.target == battery and run.polarity is Polarity.POSITIVE
    )


def _free_ground(steps: _Steps, battery: str) -> str:
    """Where a battery is grounded, else a new ground point where that stud is full."""
    ground = _ground_of(steps.build, battery)
    if ground and has_room(steps.build, ground):
        return ground
    return steps.new(
        "grounds",
        name=in_words(words_of(steps.build.header), "Charger ground"),
        zone=_zone(steps.build, battery),
    )


def _ground_of(build: Build, battery: str) -> str:
    """Where a battery is grounded."""
    return next(
        (r.target for r in build.runs if r.source == battery and r.polarity is Polarity.GROUND), ""
    )


def _zone(build: Build, device: str) -> str:
    return next((b.zone for b in build.batteries if b.id == device), "")


def capacitor(build: Build) -> Batch:
    """A capacitor on the block that feeds the amplifiers, with its fused lead and ground."""
    return actions.add(
        build, "appliances", name="Capacitor", kind=LoadKind.CAPACITOR, power_w=0.0, idle_a=LEAK_A
    )


def audio_cables(build: Build) -> Batch:
    """The signal and loudspeaker cables of every amplifier that has none yet."""
    if not build.amplifiers:
        raise EditRefused("there is no amplifier yet: add one first")
    steps = _Steps(build)
    fed = {lead.target for lead in build.leads if lead.kind is LeadKind.SIGNAL}
    playing = {lead.source for lead in build.leads if lead.kind is LeadKind.SPEAKER}
    for amplifier in build.amplifiers:
        channels = amplifier.channels + amplifier.sub_channels
        if amplifier.id not in fed:
            steps.new("leads", kind=LeadKind.SIGNAL, target=amplifier.id, count=(channels + 1) // 2)
        if amplifier.id not in playing:
            name = f"{label(build, amplifier.id)} loudspeaker"
            ends: dict[str, Scalar] = {"source": amplifier.id, "target": ""}
            steps.new("leads", kind=LeadKind.SPEAKER, **ends, count=channels, name=name)
    if not steps.edits:
        raise EditRefused("every amplifier has its signal and loudspeaker cables already")
    return Batch(edits=tuple(steps.edits), label="add signal and loudspeaker cables")


def on_the_remote_lead(build: Build) -> Batch:
    """A small thing that the remote output switches and feeds: a fan, a voltmeter, a lamp."""
    return actions.add(build, "leads", name="Fan")


def main_switch(build: Build) -> Batch:
    """A switch in the main run: the battery's fuse stays at the battery, ahead of the switch."""
    main = next((r for r in build.runs if _feeds_blocks(build, r) and _from_battery(r)), None)
    if main is None:
        raise EditRefused("there is no run from a battery to a block that it could part")
    steps = _Steps(build)
    battery = main.source
    zone = _zone(build, battery)
    switch = steps.new(
        "blocks",
        name="Main switch",
        kind=BlockKind.ISOLATOR,
        isolates=Isolates.SWITCH,
        rated_a=SWITCH_A,
        zone=zone,
    )
    fuse: dict[str, Scalar] = {"fused": main.fused, "fuse_distance_m": main.fuse_distance_m}
    if main.fused:
        fuse |= {"fuse_a": main.fuse_a, "fuse_family": main.fuse_family}
    steps.run(battery, switch, zone=main.zone, **fuse)
    open_: dict[str, Scalar] = {"fused": False, "fuse_distance_m": None, "fuse_a": None}
    steps.set(main.id, source=switch, **open_, fuse_family=None)
    return Batch(edits=tuple(steps.edits), label=f"add a main switch in {label(build, main.id)}")


def _from_battery(run: Run) -> bool:
    return run.source.startswith("b")


def _load(name: str, **values: Scalar) -> Kit:
    """The command that adds a load under its name, with values to begin with."""
    what = f"{name.lower()}, with branch, fuse and ground, as one edit"
    id = name.lower().replace(" ", "_")
    called = name if values else "Load"
    return Kit(id, name, what, lambda b: actions.add(b, "appliances", name=called, **values))


HOUSEHOLD: tuple[Kit, ...] = (
    _load("Fridge", power_w=60.0, duty=0.4),
    _load("Lamps", power_w=20.0, duty=0.25),
    _load("Fan", power_w=15.0, works=Works.MUSIC),
    _load("Water pump", power_w=60.0, duty=0.05),
    _load("Other load"),
)
"""What a vehicle is fitted with beside the music: examples to edit, by makers' sheets, from memory.

A compressor fridge takes 40 to 60 W, for a third to a half of the time; a fan here blows on
amplifiers.
"""

KITS: tuple[Kit, ...] = (
    Kit(
        "battery_behind_relay",
        "Second battery behind a relay",
        "a further battery, its isolator relay, runs, fuses and ground, as one edit",
        lambda build: battery_behind(build, Isolates.RELAY),
    ),
    Kit(
        "battery_behind_charger",
        "Second battery behind a DC-DC charger",
        "a further battery, its DC-DC charger, runs, fuses and grounds, as one edit",
        lambda build: battery_behind(build, Isolates.CONVERTER),
    ),
    Kit(
        "battery_bank",
        "Bank of four batteries in the rear",
        "four LiFePO4 batteries on a bus behind an isolator, with runs, fuses and grounds",
        bank_in_the_boot,
    ),
    Kit(
        "further_alternator",
        "Second alternator",
        "an alternator with its charge cable, fuse and grounds, as one edit",
        lambda build: actions.add(build, "alternators"),
    ),
    Kit(
        "capacitor",
        "Capacitor at the amplifiers",
        "a capacitor on the amplifiers' block with lead, fuse, ground and pre-charge, as one edit",
        capacitor,
    ),
    Kit(
        "inverter",
        "Inverter",
        "an inverter with its branch, fuse and ground, as one edit",
        inverter,
    ),
    *HOUSEHOLD,
    Kit(
        "main_switch",
        "Main switch",
        "a switch behind the main fuse that parts all that the main run feeds, as one edit",
        main_switch,
    ),
    Kit(
        "audio_cables",
        "Signal and loudspeaker cables",
        "the cables of every amplifier that has none yet, for bill and labels, as one edit",
        audio_cables,
    ),
    Kit(
        "remote_small",
        "Fan, voltmeter or lamp on the remote lead",
        "a lead to a small thing that the remote output switches and feeds",
        on_the_remote_lead,
    ),
)
"""Every such command, in the order in which they are offered."""
