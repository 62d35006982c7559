"""What a short does to a plan, by brute force: the whole network, solved again at every small step.

A second method for the proofs of protection. Nothing of them is used: of the plan are read its
entries (what joins what, lengths, gauges, ratings, families, zones), of the tables the published
opening windows. Every wire, fuse, joint, ground path, source and load is there; numpy solves all
of it densely; time goes forward in small steps, and each step warms wires and fuses.

Premises:

- A chafed positive wire touches the body, or plus and minus of an amplifier touch, anywhere along
  any wire, dead or through any resistance. One short at a time.
- A battery has an open voltage between that of its planning charge and of a full one, behind any
  resistance inside the spread of its kind. It takes charge through no less than that. An
  alternator gives what it has left, up to its greatest output, while its terminal is below its
  regulated voltage. Relays and switches are closed or open. A diode passes one way, at any drop up
  to 0.7 V. A DC-DC charger gives to the side behind it, back through its ground lead, anything up
  to its rating at up to 14.6 V, and draws anything that this may ask of the side ahead of it; it
  is started by the ignition or the voltage of a running alternator (makers' sheets, from memory).
  Amplifiers draw nothing, or anything up to full output; all that draws does so as a resistor.
- A fuse opens when its slowest time at each current has been used up (log-log between the
  published points, I2t constant beyond the last; below the first it holds for ever).
- A wire begins as warm as its class allows. In the first five seconds no heat is lost: it is hurt
  when I2t passes (k S)2 (IEC 60949, IEC 60364-5-54). After that its rise goes to the square of the
  current with one time constant, such that its ampacity ends at its class and that large currents
  meet the first rule; it is hurt when it passes the limit temperature of its insulation.
  Resistance rises with temperature.
- Up to 1.45 times ampacity is an overload, which a fuse may pass (IEC 60364-4-43 433.1, from
  memory): it keeps a wire at its class and hurts nothing here.
- Nothing is promised on wire with no fuse between it and a battery's post up to 18 in from it, nor
  on the first 18 in ahead of a fuse or of an amplifier with fuses of its own (common practice), nor
  on the cable between an alternator and the starter battery that the vehicle's maker laid.
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from importlib.resources import files
from itertools import product
from math import exp, inf, log, pi, sqrt
from random import Random

import numpy as np

from domain.build.choices import BlockKind, Isolates, Metal, Polarity
from domain.build.records import Battery, Build, Run
from domain.electrical import sources
from domain.sheet import RunResult, Sheet

BODY = "body"
SHOP_M = 18 * 0.0254 + 0.0005
"""18 in, and what a tape cannot tell [m]."""

JOINT_OHM, FUSE_V, ISOLATOR_OHM = 0.00015, 0.08, 0.0005
"""Planning values of the product: a crimped and bolted end, a fuse at its rating, contacts."""

BODY_OHM = {"bare metal": 0.0003, "plated stud": 0.0002, "painted": 0.008, "unknown": 0.001}
"""Planning values of the product: ground point and body path by surface [ohm]."""

# IEC 60949: K [A sqrt(s)/mm2] and beta [C]; copper-clad aluminium as aluminium
HEAT = {Metal.COPPER: (226.0, 234.5), Metal.TINNED: (226.0, 234.5), Metal.CCA: (148.0, 228.0)}

# resistivity at 20 C [ohm mm2/m] and temperature coefficient [1/K]: IEC 60028, IEC 60228 (tinned),
# ASTM B566 (from memory)
OHMIC = {
    Metal.COPPER: (0.017241, 0.00393),
    Metal.TINNED: (0.01758, 0.00393),
    Metal.CCA: (0.02743, 0.00405),
}

ONE_WAY = (Isolates.DIODE, Isolates.IDEAL_DIODE)
DIODE_V = 0.7
"""A silicon diode's drop: textbook."""

CHARGER_V, LEAST_IN_V, CHARGES = 14.6, 9.0, 0.85
"""What chargers hold, the least that they work from [V], and what they lose: makers' sheets, from
memory."""

CONVENTIONAL = 1.45
STEP = 0.06
"""A step is this share of the time gone by."""

FIRST_S, LAST_S = 1e-3, 2e5


def area_mm2(gauge: str) -> float:
    """ASTM B258 for AWG; the number itself for metric sizes."""
    if not gauge.startswith("AWG "):
        return float(gauge.split(maxsplit=1)[0])
    name = gauge[4:]
    number = 1 - int(name[0]) if name.endswith("/0") else int(name)
    return float(pi / 4 * (0.127 * 92 ** ((36 - number) / 39)) ** 2)


def limit_c(insulation: str) -> float:
    """IEC 60364-5-54: 160 C, 250 C for insulation of 125 C and more."""
    return 250.0 if insulation == "125 C" else 160.0


@lru_cache(maxsize=1)
def windows() -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """Family -> logarithms of current over rating and of slowest time, from the published table."""
    rows: dict[str, list[tuple[float, float]]] = {}
    text = (files("domain.reference") / "fuse_opening.csv").read_text()
    for row in csv.DictReader(text.splitlines()):
        if row["slowest_s"]:
            point = (log(float(row["percent"]) / 100), log(float(row["slowest_s"])))
            rows.setdefault(row["family"], []).append(point)
    return {
        name: (np.array([r for r, _ in points]), np.array([t for _, t in points]))
        for name, points in ((name, sorted(points)) for name, points in rows.items())
    }


@dataclass
class Piece:
    """A piece of one wire between two nodes, and what it stands."""

    run: str
    a: str
    b: str
    metres: float
    joints: int
    area: float
    metal: Metal
    carries_a: float
    ambient_c: float
    class_c: float
    limit: float
    positive: bool
    start_m: float
    end_m: float

    def __post_init__(self) -> None:
        """Heat that it holds, and where its rise ends."""
        k, beta = HEAT[self.metal]
        warm = max(self.class_c, self.ambient_c)
        self.heat = (k * self.area) ** 2 * log((self.limit + beta) / (warm + beta))
        rise = self.class_c - self.ambient_c
        share = (self.limit - self.ambient_c) / rise if rise > 0 else 0.0
        self.lasting_a = self.carries_a * sqrt(max(share, 0.0))
        room = self.lasting_a**2 - self.carries_a**2
        self.tau = self.heat / room if room > 0 else inf

    def ohm(self, celsius: float) -> float:
        """Resistance with its joints [ohm]."""
        rho, alpha = OHMIC[self.metal]
        warm = 1 + alpha * (celsius - 20)
        return rho * warm * self.metres / self.area + self.joints * JOINT_OHM


@dataclass
class FuseAt:
    """A fuse between two nodes."""

    run: str
    a: str
    b: str
    rating_a: float
    family: str


@dataclass
class Network:
    """A plan as wires, fuses, contacts, sources and loads between nodes."""

    pieces: list[Piece] = field(default_factory=list)
    fuses: list[FuseAt] = field(default_factory=list)
    plain: list[tuple[str, str, float]] = field(default_factory=list)
    isolators: list[tuple[str, str]] = field(default_factory=list)
    diodes: list[tuple[str, str]] = field(default_factory=list)
    chargers: list[tuple[str, float]] = field(default_factory=list)
    batteries: list[Battery] = field(default_factory=list)
    alternators: list[tuple[str, float, float]] = field(default_factory=list)
    loads: list[tuple[str, float]] = field(default_factory=list)


def node(build: Build, device: str, positive: bool, leaves: bool) -> str:
    """Where a run joins a device; "" where it cannot."""
    if device[:1] in ("a", "b", "g"):
        return f"{device}+" if positive else f"{device}-"
    if device[:1] == "e":
        return "" if positive else device
    kind = next((b.kind for b in build.blocks if b.id == device), None)
    if kind is BlockKind.ISOLATOR:
        side = "out" if leaves else "in"
        return f"{device} {side}" if positive else f"{device} back"
    if kind is BlockKind.DISTRIBUTION and positive:
        return device
    return device if kind is BlockKind.GROUND and not positive else ""


def network(build: Build, sheet: Sheet) -> Network:
    """The network of a plan, from its entries and the schedule of its runs."""
    net = Network(batteries=list(build.batteries))
    results = {run.id: run for run in sheet.runs}
    for run in build.runs:
        positive = run.polarity is Polarity.POSITIVE
        a = node(build, run.source, positive, True)
        b = node(build, run.target, positive, False)
        if a and b and a != b:
            for copy in range(run.count):
                _lay(net, build, run, results[run.id], (a, b, f"{run.id}#{copy}"))
    for block in build.blocks:
        if block.isolates is Isolates.CONVERTER:
            net.chargers.append((block.id, block.rated_a or inf))
        elif block.kind is BlockKind.ISOLATOR:
            passes = net.diodes if block.isolates in ONE_WAY else net.isolators
            passes.append((f"{block.id} in", f"{block.id} out"))
    for point in build.grounds:
        ohm = point.resistance_ohm
        net.plain.append((point.id, BODY, BODY_OHM[point.surface] if ohm is None else ohm))
    net.alternators = [(g.id, g.rated_a, g.regulated_v) for g in build.alternators]
    for amplifier, result in zip(build.amplifiers, sheet.amplifiers, strict=True):
        drawn = result.rated_w / result.efficiency / 12.0 + amplifier.idle_a
        net.loads.append((amplifier.id, min(drawn, amplifier.onboard_fuse_a or inf)))
    return net


def _lay(
    net: Network, build: Build, run: Run, result: RunResult, ends: tuple[str, str, str]
) -> None:
    """One wire of a run, cut at its fuses."""
    a, b, name = ends
    positive = run.polarity is Polarity.POSITIVE
    metres = result.wire_m
    area = area_mm2(result.gauge)
    if run.strands and run.strand_m:
        area = min(area, run.strands * pi / 4 * (run.strand_m * 1000) ** 2)
    cuts: list[float] = []
    if positive and run.fused:
        cuts.append(min(_near_m(build, run), metres))
    if positive and run.far_fused:
        far = 0.3048 if run.far_fuse_distance_m is None else run.far_fuse_distance_m
        cuts.append(max(metres - far, cuts[0] if cuts else 0.0))
    here, start = a, 0.0
    for number, at in enumerate([*cuts, metres]):
        last = number == len(cuts)
        there = b if last else f"{name}.{number}a"
        if at - start > 1e-6 or (last and not cuts):
            class_c = table_class_c(result.gauge, run.insulation)
            net.pieces.append(
                Piece(
                    *(run.id, here, there, at - start, (here == a) + (there == b), area),
                    *(run.metal, result.ampacity_a, result.ambient_c, class_c),
                    *(limit_c(run.insulation), positive, start, at),
                )
            )
            here = there
        elif last:
            net.plain.append((here, b, JOINT_OHM))
        if not last:
            assert result.fuse_a is not None
            there = f"{name}.{number}b"
            net.fuses.append(FuseAt(run.id, here, there, result.fuse_a, result.fuse_family))
            here = there
        start = at


def _near_m(build: Build, run: Run) -> float:
    """As entered; else in the fused block, or the usual 12 in along the wire [m]."""
    if run.fuse_distance_m is not None:
        return run.fuse_distance_m
    block = next((b for b in build.blocks if b.id == run.source), None)
    fused = block is not None and block.fused and block.kind is BlockKind.DISTRIBUTION
    return 0.0 if fused else 0.3048


def table_class_c(gauge: str, insulation: str) -> float:
    """The insulation class whose column of the ampacity tables counts [C].

    33 CFR 183.425 Table 5 has 60, 75, 80, 90, 105 and 125 C, ISO 10133 (from memory) 60, 70, 85,
    105 and 125 C: the next lower one.
    """
    own = float(insulation.split(maxsplit=1)[0])
    columns = (60, 75, 80, 90, 105, 125) if gauge.startswith("AWG ") else (60, 70, 85, 105, 125)
    return float(max(c for c in columns if c <= own))


@dataclass
class Short:
    """One short and the circumstances that it meets."""

    piece: int | None
    share: float
    amplifier: str
    ohm: float
    volts: dict[str, float]
    inner_ohm: dict[str, float]
    takes_ohm: dict[str, float]
    outputs: dict[str, float]
    draws: dict[str, float]
    closed: tuple[bool, ...]
    drops: tuple[float, ...] = ()
    gives: tuple[float, ...] = ()
    takes: tuple[float, ...] = ()

    def says(self, net: Network) -> str:
        """Where it is, in words."""
        if self.piece is None:
            return f"inside {self.amplifier} through {self.ohm * 1000:.3g} mohm"
        piece = net.pieces[self.piece]
        at = piece.start_m + self.share * piece.metres
        return f"{piece.run} at {at:.2f} m through {self.ohm * 1000:.3g} mohm"


@dataclass
class Outcome:
    """How much of what it stands each piece took, at most, and which fuses opened when [s]."""

    taken: list[float]
    opened: list[tuple[str, float]]
    first_a: float


def promised(net: Network, build: Build) -> list[int]:
    """Pieces of positive wire on which a short may be."""
    at: dict[str, list[tuple[str, float]]] = {}
    for piece in net.pieces:
        if piece.positive:
            at.setdefault(piece.a, []).append((piece.b, piece.metres))
            at.setdefault(piece.b, []).append((piece.a, piece.metres))
    for a, b in (*net.isolators, *net.diodes):
        at.setdefault(a, []).append((b, 0.0))
        at.setdefault(b, []).append((a, 0.0))
    post = {f"{b.id}+": 0.0 for b in build.batteries}
    waiting = sorted(post)
    while waiting:
        here = waiting.pop(0)
        for there, metres in at.get(here, ()):
            if post[here] + metres < post.get(there, inf):
                post[there] = post[here] + metres
                waiting.append(there)
    onboard = {f"{a.id}+" for a in build.amplifiers if a.onboard_fuse_a}
    fused = {end for fuse in net.fuses for end in (fuse.a, fuse.b)}
    makers = {r.id for r in build.runs if r.existing and "g" in (r.source[:1], r.target[:1])}
    found = []
    for number, piece in enumerate(net.pieces):
        furthest_m = (post.get(piece.a, inf) + post.get(piece.b, inf) + piece.metres) / 2
        tail = piece.metres <= SHOP_M and any(
            end in onboard or ("." in end and end in fused) for end in (piece.a, piece.b)
        )
        if piece.positive and not (furthest_m <= SHOP_M or tail or piece.run in makers):
            found.append(number)
    return found


def shorts(net: Network, build: Build, random: Random, count: int) -> Iterator[Short]:
    """Random shorts in random circumstances, more of them on longer pieces."""
    places = promised(net, build)
    weights = [0.2 + net.pieces[n].metres for n in places]
    for _ in range(count):
        inside = not places or (bool(net.loads) and random.random() < 0.15)
        if inside and not net.loads:
            return
        volts, inner, takes = {}, {}, {}
        for b in build.batteries:
            low, high = sources.spread(b)
            inner[b.id] = random.choice([low, high, random.uniform(low, high)])
            charge = random.choice([0.8, 1.0, random.uniform(0.8, 1.0)])
            volts[b.id] = sources.rest_voltage_v(b.chemistry, charge)
            takes[b.id] = max(sources.charging_ohm(b, charge), inner[b.id])
        running = random.random() < 0.5
        weak = random.choice([1.0, random.random()])
        playing = random.choice([0.0, random.random(), 1.0])
        ohm = 0.0 if random.random() < 0.3 else exp(random.uniform(log(5e-4), log(0.4)))
        yield Short(
            piece=None if inside else random.choices(places, weights)[0],
            share=random.choice([0.02, 0.98, random.random()]),
            amplifier=random.choice(net.loads)[0] if inside else "",
            ohm=ohm,
            volts=volts,
            inner_ohm=inner,
            takes_ohm=takes,
            outputs={id: rated * weak if running else 0.0 for id, rated, _ in net.alternators},
            draws={id: amperes * playing for id, amperes in net.loads},
            closed=tuple(random.random() < 0.7 for _ in net.isolators),
            drops=tuple(random.choice([0.0, DIODE_V]) for _ in net.diodes),
            gives=tuple(running * rated * random.choice([0.0, 1.0]) for _, rated in net.chargers),
            takes=tuple(
                running * rated * CHARGER_V / LEAST_IN_V / CHARGES * random.choice([0.0, 1.0])
                for _, rated in net.chargers
            ),
        )


class Simulation:
    """One short of one plan, from its beginning until nothing changes any more."""

    def __init__(self, net: Network, short: Short) -> None:
        """The whole network with the short in it."""
        self.net, self.short = net, short
        self.owner: list[int] = []
        wires: list[tuple[str, str, float]] = []
        for number, piece in enumerate(net.pieces):
            if number == short.piece:
                wires.append((piece.a, "short", short.share))
                wires.append(("short", piece.b, 1 - short.share))
                self.owner += [number, number]
            else:
                wires.append((piece.a, piece.b, 1.0))
                self.owner.append(number)
        self.share = np.array([share for _, _, share in wires])
        ends = ("short", BODY)
        if short.piece is None:
            ends = (f"{short.amplifier}+", f"{short.amplifier}-")
        other = [(a, b, 1 / max(ohm, 1e-6)) for a, b, ohm in net.plain]
        other += [
            (a, b, 1 / ISOLATOR_OHM)
            for (a, b), closed in zip(net.isolators, short.closed, strict=True)
            if closed
        ]
        other += [(f"{id}+", f"{id}-", a / 12.0) for id, a in short.draws.items()]
        chargers = [(f"{id} in", f"{id} out", f"{id} back") for id, _ in net.chargers]
        other += [
            (ahead, back, a / LEAST_IN_V)
            for (ahead, _, back), a in zip(chargers, short.takes, strict=True)
        ]
        other.append((*ends, 1 / max(short.ohm, 1e-6)))
        pairs = [(a, b) for a, b, _ in wires]
        pairs += [(f.a, f.b) for f in net.fuses] + [(a, b) for a, b, _ in other]
        names = {name for pair in pairs for name in pair} - {BODY}
        names |= {f"{b.id}{sign}" for b in net.batteries for sign in "+-"}
        names |= {f"{g}{sign}" for g, _, _ in net.alternators for sign in "+-"}
        names |= {each for ends in (*net.diodes, *chargers) for each in ends}
        index = {name: number for number, name in enumerate(sorted(names))} | {BODY: len(names)}
        self.size = len(names)
        self.i = np.array([index[a] for a, _ in pairs])
        self.j = np.array([index[b] for _, b in pairs])
        self.wires, self.count = len(wires), len(pairs)
        self.g = np.zeros(self.count)
        self.g[self.wires + len(net.fuses) :] = [siemens for _, _, siemens in other]
        self.g[self.wires : self.wires + len(net.fuses)] = [f.rating_a / FUSE_V for f in net.fuses]
        self.supplies = [
            (index[f"{id}+"], index[f"{id}-"], volts, short.inner_ohm[id], short.takes_ohm[id], inf)
            for id, volts in short.volts.items()
        ]
        self.supplies += [
            (index[f"{id}+"], index[f"{id}-"], volts, 0.001, inf, short.outputs[id])
            for id, _, volts in net.alternators
            if short.outputs[id] > 0
        ]
        self.supplies += [  # ahead of a diode the voltage is behind it, less its drop
            (index[behind], index[ahead], -drop, ISOLATOR_OHM, inf, inf)
            for (ahead, behind), drop in zip(net.diodes, short.drops, strict=True)
        ]
        self.supplies += [
            (index[behind], index[back], CHARGER_V, 0.001, inf, most)
            for (_, behind, back), most in zip(chargers, short.gives, strict=True)
            if most > 0
        ]
        self.modes = (0,) * len(self.supplies)

    def currents(self) -> np.ndarray:
        """The current of every branch as things are [A]."""
        base = np.zeros((self.size + 1, self.size + 1))
        np.add.at(base, (self.i, self.i), self.g)
        np.add.at(base, (self.j, self.j), self.g)
        np.add.at(base, (self.i, self.j), -self.g)
        np.add.at(base, (self.j, self.i), -self.g)
        base += np.eye(self.size + 1) * 1e-9
        for modes in self._ways():
            volts = self._solved(base, modes)
            if volts is not None:
                self.modes = modes
                return np.asarray((volts[self.i] - volts[self.j]) * self.g)
        raise AssertionError("the sources find no way to work")

    def _ways(self) -> Iterator[tuple[int, ...]]:
        """How the sources may work: as before, then every way."""
        yield self.modes
        # a battery gives or takes; an alternator holds its voltage, gives its most, or nothing
        yield from product(*((0, 1) if most == inf else (0, 1, 2) for *_, most in self.supplies))

    def _solved(self, base: np.ndarray, modes: tuple[int, ...]) -> np.ndarray | None:
        """Node voltages with the sources working in these ways; ``None`` if they would not."""
        matrix, right = base.copy(), np.zeros(self.size + 1)
        for (p, n, volts, gives, takes, most), mode in zip(self.supplies, modes, strict=True):
            ohm = takes if mode == 1 and most == inf else gives
            siemens = 0.0 if most < inf and mode else 1 / ohm
            amperes = most if most < inf and mode == 1 else volts * siemens
            for x, y in ((p, n), (n, p)):
                matrix[x, x] += siemens
                matrix[x, y] -= siemens
            right[p] += amperes
            right[n] -= amperes
        found = np.zeros(self.size + 1)
        found[:-1] = np.linalg.solve(matrix[:-1, :-1], right[:-1])
        for (p, n, volts, gives, _, most), mode in zip(self.supplies, modes, strict=True):
            given = (volts - found[p] + found[n]) / gives
            if most == inf:
                fits = given <= 1e-9 if mode else given >= -1e-9
            else:
                fits = (
                    -1e-9 <= given <= most + 1e-9
                    if mode == 0
                    else (given >= most - 1e-9 if mode == 1 else given <= 1e-9)
                )
            if not fits:
                return None
        return found

    def run(self) -> Outcome:
        """Let time go by."""
        pieces = [self.net.pieces[number] for number in self.owner]
        carries = np.array([p.carries_a for p in pieces])
        lasting = np.array([p.lasting_a for p in pieces])
        heat = np.array([p.heat for p in pieces])
        tau = np.array([p.tau for p in pieces])
        room = np.maximum(lasting**2 - carries**2, 1e-9)
        rise = carries**2
        early = np.zeros(len(pieces))
        worst = np.zeros(len(pieces))
        used = np.zeros(len(self.net.fuses))
        opened: list[tuple[str, float]] = []
        time_s, first_a = 0.0, 0.0
        stale = True
        at = np.full(len(pieces), -1.0)
        while time_s < LAST_S:
            warm = self._warm(pieces, rise, carries)
            if stale or np.any(np.abs(warm - at) > 8):
                at, stale = warm, False
                ohm = np.array([p.ohm(c) for p, c in zip(pieces, warm, strict=True)])
                wire_ohm = np.maximum(ohm * self.share, 1e-7)
                self.g[: self.wires] = 1 / wire_ohm
                amperes = np.abs(self.currents())
                first_a = first_a or float(amperes[-1])
            wire_a = amperes[: self.wires]
            rates = self._rates(amperes[self.wires : self.wires + len(self.net.fuses)])
            rates[used >= 1] = 0.0
            over = wire_a > CONVENTIONAL * carries
            if not rates.any():
                final = np.where(over, (wire_a / np.maximum(lasting, 1e-9)) ** 2, 0.0)
                worst = np.maximum(worst, np.where(final > 1, final, 0.0))
                break
            with np.errstate(divide="ignore", invalid="ignore"):
                left = np.where(rates > 0, (1 - used) / rates, inf)
            lasts = min(max(FIRST_S, STEP * time_s), float(left.min()))
            early += np.where(over, wire_a**2, 0.0) * min(lasts, max(5.0 - time_s, 0.0))
            goal = np.where(over, wire_a, carries) ** 2
            rise = goal + (rise - goal) * np.exp(-lasts / tau)
            now = np.maximum(early / heat, (rise - carries**2) / room)
            worst = np.maximum(worst, np.where(over, now, 0.0))
            used += rates * lasts
            time_s += lasts
            for number in np.flatnonzero((used >= 1 - 1e-9) & (rates > 0)):
                used[number] = 1.0
                self.g[self.wires + number] = 1e-9
                opened.append((self.net.fuses[number].run, time_s))
                stale = True
        taken = [0.0] * len(self.net.pieces)
        for owner, share in zip(self.owner, worst, strict=True):
            taken[owner] = max(taken[owner], float(share))
        return Outcome(taken, opened, first_a)

    @staticmethod
    def _warm(pieces: list[Piece], rise: np.ndarray, carries: np.ndarray) -> np.ndarray:
        """Temperatures [C], no higher than where resistance has long lost its meaning."""
        share = rise / np.maximum(carries**2, 1e-9)
        ambient = np.array([p.ambient_c for p in pieces])
        classes = np.array([p.class_c for p in pieces])
        return np.asarray(np.minimum(ambient + (classes - ambient) * share, 400.0))

    def _rates(self, amperes: np.ndarray) -> np.ndarray:
        """Share of its slowest time that each fuse uses up in a second at its current."""
        found = np.zeros(len(amperes))
        for number, (fuse, current) in enumerate(zip(self.net.fuses, amperes, strict=True)):
            ratios, times = windows()[fuse.family]
            ratio = log(max(current / fuse.rating_a, 1e-9))
            if ratio < ratios[0]:
                continue
            beyond = 2 * max(ratio - ratios[-1], 0.0)
            found[number] = exp(beyond - float(np.interp(ratio, ratios, times)))
        return found
