"""Sound plans, as a careful installer draws them: nothing is pinned and there is enough of all.

What makes them sound is common practice, known from outside: a fuse within a hand's breadth of
every post, blocks with a fuse for every branch, an alternator and batteries that the music does
not empty, no more than four rings on a stud, isolators that bear what they join, chargers with a
ground lead, flooded batteries under the bonnet, LiFePO4 out of its heat and behind a charger, a
charge cable as the maker lays it for such an alternator. Where much power or a battery is added,
the first battery's ground is laid anew ("big three", common practice).
"""

from random import Random

from domain.build import grounding, kits, run_ends
from domain.build.choices import BlockKind, Chemistry, Isolates
from domain.build.edits import SetField
from domain.build.records import Build
from tests.domain.electrical.protection.shaped_builds import Drawing

SHAPES = (
    "one battery",
    "one battery",
    "link",
    "relay",
    "diode",
    "charger",
    "bank",
    "two alternators",
    "two wires",
    "ground block",
    "two blocks",
    "capacitor",
)

FUSE_M = (0.1, 0.15, 0.3)
"""Wire from a post to its fuse [m]."""

MUCH_W = 400.0
"""Power from which on the maker's ground cable of the battery is laid anew [W]."""

MUSIC_W = 1600.0
"""What one battery and one alternator play [W]."""


def sound(random: Random) -> Build:
    """A sound plan with nothing pinned."""
    drawing = Drawing(random)
    shape = random.choice(SHAPES)
    drawing.set(
        *("batteries", "b1"),
        capacity_ah=random.choice([70.0, 80.0, 95.0]),
        cranking_a=random.choice([650.0, 800.0]),
    )
    drawing.set("alternators", "g1", rated_a=random.choice([120.0, 140.0]), hot=True)
    for run in ("r1", "r2"):
        drawing.set("runs", run, gauge="AWG 2")
    drawing.set("runs", "r4", fuse_distance_m=random.choice(FUSE_M), zone="z2")
    drawing.set("runs", "r4", length_m=round(random.uniform(2.5, 5.5), 2))
    drawing.put(SetField(table="header", field="wire_sizes", value=random.choice(["AWG", "mm2"])))
    _sources(drawing, shape)
    back = _ground_block(drawing) if shape in ("ground block", "bank") else "e2"
    blocks = ["d1", _second_block(drawing)] if shape == "two blocks" else ["d1"]
    most = MUSIC_W if shape == "one battery" else 1.25 * MUSIC_W
    watts = _amplifiers(drawing, blocks, back, most)
    if shape == "capacitor":
        _capacitor(drawing)
    if watts > MUCH_W or len(drawing.build.batteries) > 1:
        drawing.put(*grounding.as_new_wire(next(r for r in drawing.build.runs if r.id == "r3")))
    _newer(drawing, shape, watts)
    return drawing.build


def _sources(drawing: Drawing, shape: str) -> None:
    random = drawing.random
    if shape == "two alternators":
        drawing.add("alternators", rated_a=random.choice([90.0, 120.0]), hot=True)
    elif shape == "two wires":
        drawing.set("runs", "r4", count=2, far_fused=True, far_fuse_distance_m=0.15)
    elif shape in ("link", "relay", "diode", "charger", "bank"):
        chemistry = "LiFePO4" if shape == "charger" and drawing.sometimes(0.5) else "AGM"
        capacity = random.choice([60.0, 80.0, 100.0])
        battery = drawing.add("batteries", zone="z3", chemistry=chemistry, capacity_ah=capacity)
        (link,) = (r.id for r in drawing.build.runs if (r.source, r.target) == ("b1", battery))
        metres = round(random.uniform(3.0, 5.0), 2)
        drawing.set("runs", link, length_m=metres, zone="z2", fuse_distance_m=0.15)
        drawing.set("runs", link, far_fuse_distance_m=0.15)
        if shape in ("link", "bank"):
            if shape == "bank":
                _bank(drawing, battery)
            return
        _isolator(drawing, link, shape)
        if drawing.sometimes(0.5):
            drawing.put(run_ends.feed_from(drawing.build, "r4", battery))
            drawing.set("runs", "r4", zone="z3", length_m=round(random.uniform(0.6, 1.5), 2))


def _newer(drawing: Drawing, shape: str, watts: float) -> None:
    """Relays by voltage, a bus bar, a breaker, a smart alternator, limits as makers state them.

    Drawn last, so that all else stays as it was drawn before there were any. A smart alternator
    has no isolator but a DC-DC charger behind it; a breaker of the trade ends at 200 A.
    """
    random = drawing.random
    for block in drawing.build.blocks:
        relay = block.kind is BlockKind.ISOLATOR and block.isolates in (None, Isolates.RELAY)
        if relay and drawing.sometimes(0.5):
            drawing.set("blocks", block.id, join_v=random.choice([13.3, 13.7]), part_v=12.8)
    if drawing.sometimes(0.2):
        drawing.set("blocks", "d1", kind="bus bar")
    if watts <= BREAKER_W and shape in ("one battery", "charger") and drawing.sometimes(0.3):
        drawing.set("runs", "r4", fuse_family="breaker", breaks_a=5000.0)
    if shape in ("one battery", "charger", "two wires") and drawing.sometimes(0.3):
        drawing.put(SetField(table="header", field="smart_alternator", value=True))
    for battery in drawing.build.batteries:
        if battery.chemistry is Chemistry.LIFEPO4:
            drawing.set("batteries", battery.id, charge_limit_a=battery.capacity_ah, hottest_c=60.0)
            drawing.set("batteries", battery.id, discharge_limit_a=250.0)


BREAKER_W = 800.0
"""What a breaker of the trade carries with ease [W]."""


def _isolator(drawing: Drawing, link: str, shape: str) -> None:
    """Near the first battery: a fuse on the way to it, one at the further battery."""
    random = drawing.random
    kind = {
        "relay": random.choice(["relay", None, "switch"]),
        "diode": random.choice(["diode", "ideal diode"]),
    }.get(shape, "DC-DC charger")
    rated = random.choice([20.0, 30.0, 40.0] if shape == "charger" else [None, 160.0, 200.0])
    isolator = drawing.add("blocks", kind="isolator", zone="z1", isolates=kind, rated_a=rated)
    drawing.put(run_ends.feed_from(drawing.build, link, isolator))
    drawing.set("runs", link, fused=False, length_m=round(random.uniform(3.0, 5.0), 2))
    if shape == "charger":
        drawing.put(run_ends.add_run(drawing.build, isolator, "e1", zone="z1", length_m=0.4))
    drawing.run("b1", isolator, zone="z1", fused=True, fuse_distance_m=0.15, length_m=0.5)


def _bank(drawing: Drawing, first: str) -> None:
    """A battery beside the one in the boot, joined to it by a short link with a fuse at each."""
    capacity = next(b.capacity_ah for b in drawing.build.batteries if b.id == first)
    second = drawing.add("batteries", chemistry="AGM", zone="z3", capacity_ah=capacity)
    (link,) = (r.id for r in drawing.build.runs if (r.source, r.target) == ("b1", second))
    drawing.put(run_ends.feed_from(drawing.build, link, first))
    drawing.set("runs", link, zone="z3", length_m=0.6, fuse_distance_m=0.1, far_fuse_distance_m=0.1)


def _ground_block(drawing: Drawing) -> str:
    block = drawing.add("blocks", kind="ground", zone="z3", places=8)
    metres = round(drawing.random.uniform(0.3, 0.5), 2)
    drawing.run(block, "e2", polarity="ground", zone="z3", length_m=metres)
    return block


def _capacitor(drawing: Drawing) -> None:
    """One of the trade's usual size beside the block, on short leads."""
    farads = drawing.random.choice([1.0, 2.0])
    drawing.put(kits.capacitor(drawing.build))
    (capacitor,) = (each.id for each in drawing.build.appliances)
    drawing.set("appliances", capacitor, capacitance_f=farads, esr_ohm=0.002, withstand_v=18.0)
    for run in drawing.build.runs:
        if capacitor in (run.source, run.target):
            drawing.set("runs", run.id, length_m=0.35)


def _second_block(drawing: Drawing) -> str:
    """A block that is fed from the first, through a fuse in it."""
    block = drawing.add("blocks", kind="distribution", zone="z3")
    metres = round(drawing.random.uniform(0.5, 1.5), 2)
    drawing.run("d1", block, zone="z3", fused=True, fuse_distance_m=0.0, length_m=metres)
    return block


def _amplifiers(drawing: Drawing, blocks: list[str], back: str, most_w: float) -> float:
    """One to three amplifiers, no more than so much together [W]; what they are together."""
    random = drawing.random
    watts = 0.0
    for _ in range(random.randint(1, 3)):
        channels, each = random.choice([(4, 50.0), (4, 75.0), (1, 300.0), (1, 500.0), (2, 150.0)])
        if watts + channels * each > most_w:
            break
        watts += channels * each
        amplifier = drawing.add("amplifiers", channels=channels, channel_w=each)
        for run in drawing.build.runs:
            if run.target == amplifier:
                drawing.set("runs", run.id, source=random.choice(blocks))
                drawing.set("runs", run.id, length_m=round(random.uniform(0.4, 1.5), 2))
            elif run.source == amplifier:
                drawing.set("runs", run.id, target=back)
                drawing.set("runs", run.id, length_m=round(random.uniform(0.3, 0.5), 2))
    return watts
