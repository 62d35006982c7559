"""Random builds of every shape that the records allow, as somebody would draw them.

One battery, banks on a bus, links with and without isolators, second alternators, second feeds
that close a ring, several wires side by side, chained blocks, ground blocks, what is already in
the vehicle. Nothing is pinned unless ``pins`` asks for it; then gauges, fuses, families and fuse
places are, now and then badly.
"""

from random import Random

from domain.build import actions, removal, run_ends
from domain.build.choices import BlockKind, Chemistry, Isolates
from domain.build.edits import AddRecord, Edit, Scalar, SetField
from domain.build.records import Build
from domain.build.start import start_build
from domain.document.records import next_id

AWG = ("AWG 12", "AWG 10", "AWG 8", "AWG 6", "AWG 4", "AWG 2", "AWG 1/0", "AWG 2/0", "AWG 4/0")
RATINGS = (30.0, 40.0, 60.0, 80.0, 100.0, 125.0, 150.0, 200.0)
FAMILIES = ("strip SF 30", "strip SF 51", "blade C (medium)", "blade E (large)", "class T")


class Drawing:
    """A build that grows by edits."""

    def __init__(self, random: Random) -> None:
        """Starts with what every vehicle has."""
        self.random = random
        self.build = start_build()

    def put(self, *edits: Edit) -> None:
        """Apply edits."""
        self.build = actions.applied(self.build, *edits)

    def set(self, table: str, id: str, **values: Scalar) -> None:
        """Set fields of a record."""
        self.put(*(SetField(table=table, id=id, field=f, value=v) for f, v in values.items()))

    def add(self, table: str, **values: Scalar) -> str:
        """Add a device with all that comes with it; its id."""
        id = next_id(self.build, table)
        self.put(actions.add(self.build, table, **values))
        return id

    def run(self, source: str, target: str, **values: Scalar) -> str:
        """Lay a run; its id."""
        id = next_id(self.build, "runs")
        self.put(
            AddRecord(table="runs", record={"id": id, "source": source, "target": target, **values})
        )
        return id

    def remove_links(self, battery: str) -> None:
        """Take away the runs between a battery and the first one."""
        for run in self.build.runs:
            if {run.source, run.target} == {"b1", battery}:
                self.put(removal.remove(self.build, "runs", run.id))

    def sometimes(self, share: float) -> bool:
        """True in this share of cases."""
        return self.random.random() < share


def shaped(random: Random, pins: bool = False, most: int | None = None) -> Build:
    """A random build; ``pins``: with some values that the user chose; ``most`` amplifiers."""
    drawing = Drawing(random)
    _batteries(drawing)
    _blocks(drawing)
    _amplifiers(drawing, most or 4)
    if drawing.sometimes(0.25):
        drawing.add("alternators", rated_a=random.choice([60.0, 90.0, 140.0]))
    _rings(drawing)
    _surroundings(drawing)
    if pins:
        _pins(drawing)
    _newer(drawing)
    return drawing.build


def _batteries(drawing: Drawing) -> None:
    random = drawing.random
    values: dict[str, Scalar] = {
        "capacity_ah": random.choice([45.0, 70.0, 95.0]),
        "cranking_a": random.choice([None, 500.0, 800.0]),
    }
    drawing.set("batteries", "b1", **values)
    drawing.set("alternators", "g1", rated_a=random.choice([60.0, 90.0, 100.0]))
    what = random.choice(["one", "one", "link", "isolator", "bank", "second feed"])
    if what == "one":
        return
    chemistry = random.choice(["AGM", "AGM", "flooded", "LiFePO4"])
    count = random.randint(2, 3) if what == "bank" else 1
    bus = drawing.add("blocks", kind="distribution") if what == "bank" else ""
    for _ in range(count):
        capacity = random.choice([50.0, 80.0, 100.0])
        battery = drawing.add("batteries", chemistry=chemistry, capacity_ah=capacity, zone="z3")
        if what == "link":
            continue
        drawing.remove_links(battery)
        if what == "isolator":
            _isolator(drawing, battery)
        elif what == "bank":
            metres = random.choice([0.4, 0.8])
            drawing.run(battery, bus, zone="z3", fused=True, length_m=metres)
        else:
            drawing.run(battery, "d1", zone="z3", fused=True, far_fused=True)
    if bus:
        several = random.choice([1, 1, 2])
        drawing.run(bus, "d1", zone="z2", fused=True, far_fused=True, count=several)


def _isolator(drawing: Drawing, battery: str) -> None:
    """An isolator of any kind, rated or not, between the first battery and a further one."""
    random = drawing.random
    kind = random.choice([None, "relay", "switch", "diode", "ideal diode", "DC-DC charger"])
    charger = kind == "DC-DC charger"
    rated = random.choice([20.0, 40.0, 60.0] if charger else [None, 80.0, 140.0, 200.0])
    isolator = drawing.add("blocks", kind="isolator", zone="z1", isolates=kind, rated_a=rated)
    drawing.run("b1", isolator, zone="z1", fused=True, fuse_distance_m=0.2, length_m=0.6)
    drawing.run(isolator, battery, zone="z2", fused=True, far_fused=True)
    if charger:
        drawing.put(run_ends.add_run(drawing.build, isolator, "e1", zone="z1", length_m=0.4))
    if drawing.sometimes(0.5):
        drawing.put(run_ends.feed_from(drawing.build, "r4", battery))
        drawing.set("runs", "r4", zone="z3")


def _blocks(drawing: Drawing) -> None:
    if drawing.sometimes(0.25):
        chained = drawing.add("blocks", kind="distribution", zone="z3")
        fused = drawing.sometimes(0.8)
        drawing.run("d1", chained, zone="z3", fused=fused, fuse_distance_m=0.0 if fused else None)
    if drawing.sometimes(0.25):
        ground = drawing.add("blocks", kind="ground", zone="z3")
        drawing.run(ground, "e2", polarity="ground", zone="z3")


def _amplifiers(drawing: Drawing, most: int) -> None:
    random = drawing.random
    feeding = [b.id for b in drawing.build.blocks if b.kind is BlockKind.DISTRIBUTION]
    for _ in range(random.randint(1, most)):
        amplifier = drawing.add(
            "amplifiers",
            channels=random.choice([1, 2, 4]),
            channel_w=random.choice([50.0, 75.0, 100.0, 250.0]),
            onboard_fuse_a=random.choice([None, 30.0, 60.0]),
            largest_wire=random.choice([None, "AWG 4", "AWG 1/0", "AWG 4/0"]),
        )
        branch = next(r.id for r in drawing.build.runs if r.target == amplifier)
        if drawing.sometimes(0.3) and len(feeding) > 1:
            drawing.set("runs", branch, source=random.choice(feeding))
        drawing.set("runs", branch, fuse_distance_m=random.choice([0.0, 0.0, 0.1, 0.4]))


def _rings(drawing: Drawing) -> None:
    """A second way to the main block, or two wires instead of one."""
    main = next(r.id for r in drawing.build.runs if r.source[0] == "b" and r.target == "d1")
    what = drawing.random.choice(["", "", "", "ring", "wires", "wires"])
    if what == "wires":
        drawing.set("runs", main, count=drawing.random.choice([2, 2, 3]), far_fused=True)
    elif what == "ring":
        other = drawing.random.choice([b.id for b in drawing.build.batteries])
        drawing.set("runs", main, far_fused=True)
        drawing.run(other, "d1", zone="z1", fused=True, far_fused=True)


def _surroundings(drawing: Drawing) -> None:
    random = drawing.random
    for zone in drawing.build.zones:
        drawing.set(
            "zones", zone.id, ambient_c=random.choice([zone.ambient_c, zone.ambient_c, 30.0, 60.0])
        )
    drop = random.choice([0.5, 1.0, 1.0, 2.0])
    drawing.put(SetField(table="header", field="drop_limit_v", value=drop))
    if drawing.sometimes(0.3):
        drawing.put(SetField(table="header", field="wire_sizes", value="mm2"))
    for run in drawing.build.runs:
        if run.existing:
            continue
        if drawing.sometimes(0.7) and run.length_m is None:
            longest = 6.0 if run.source.startswith("b") else 2.5
            drawing.set("runs", run.id, length_m=round(random.uniform(0.3, longest), 2))
        if drawing.sometimes(0.15):
            drawing.set("runs", run.id, loom=random.choice(["Sill", "Boot"]))
        if drawing.sometimes(0.1):
            drawing.set("runs", run.id, metal="copper-clad aluminium")
        if drawing.sometimes(0.1):
            drawing.set("runs", run.id, insulation=random.choice(["90 C", "125 C"]))


def _pins(drawing: Drawing) -> None:
    random = drawing.random
    for run in drawing.build.runs:
        if run.existing:
            continue
        if drawing.sometimes(0.2):
            drawing.set("runs", run.id, gauge=random.choice(AWG))
            if drawing.sometimes(0.2):
                drawing.set("runs", run.id, existing=True)
        if not (run.fused or run.far_fused):
            continue
        if drawing.sometimes(0.25):
            drawing.set("runs", run.id, fuse_a=random.choice(RATINGS))
        if drawing.sometimes(0.2):
            drawing.set("runs", run.id, fuse_family=random.choice(FAMILIES))
        if drawing.sometimes(0.1):
            drawing.set("runs", run.id, fuse_distance_m=random.choice([0.2, 0.45, 0.9]))
        if drawing.sometimes(0.05):
            drawing.set("runs", run.id, far_fused=False)


def _newer(drawing: Drawing) -> None:
    """Relays by voltage, bus bars, breakers, a smart alternator, limits of a battery's own.

    Drawn last, so that all else stays as it was drawn before there were any.
    """
    random = drawing.random
    for block in drawing.build.blocks:
        relay = block.kind is BlockKind.ISOLATOR and block.isolates in (None, Isolates.RELAY)
        if relay and drawing.sometimes(0.5):
            drawing.set("blocks", block.id, join_v=random.choice([13.3, 13.7]))
            drawing.set("blocks", block.id, part_v=random.choice([None, 11.0, 12.8]))
        if block.kind is BlockKind.DISTRIBUTION and drawing.sometimes(0.15):
            drawing.set("blocks", block.id, kind="bus bar")
    for run in drawing.build.runs:
        fused = run.fused and run.fuse_a is None and run.fuse_family is None
        if fused and drawing.sometimes(0.1):
            drawing.set("runs", run.id, fuse_family=random.choice(["breaker", "ANL"]))
    for battery in drawing.build.batteries:
        if battery.chemistry is Chemistry.LIFEPO4 and drawing.sometimes(0.5):
            drawing.set("batteries", battery.id, charge_limit_a=random.choice([20.0, 150.0]))
    if drawing.sometimes(0.2):
        drawing.put(SetField(table="header", field="smart_alternator", value=True))
