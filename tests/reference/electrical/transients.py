"""Random networks with batteries, capacitors, inductances, switches, an alternator and amplifiers
that play a kick, and the same as a deck for a circuit simulator."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from random import Random

import numpy as np
from numpy.typing import NDArray

from domain.electrical.loads import Load
from domain.electrical.network import nodal
from domain.electrical.transient import parts
from domain.electrical.transient.integrate import Case, port_ohms
from domain.electrical.transient.parts import Port
from domain.electrical.transient.pattern import Kick


@dataclass(frozen=True)
class Net:
    """Nodes, branches [ohm] and ports of a small network; node -1 is the reference."""

    nodes: list[str]
    branches: list[tuple[int, int, float]]
    ports: list[Port]

    def circuit(self, level: float = 0.0) -> nodal.Circuit:
        """The network at rest at a level of the hit."""
        named = [(f"r{i}", a, b) for i, (a, b, _) in enumerate(self.branches)]
        return nodal.circuit(self.nodes, named, parts.elements(self.ports, level))

    @property
    def siemens(self) -> list[float]:
        """Conductance of each branch [S]."""
        return [1 / ohm for _, _, ohm in self.branches]

    def rest(self, level: float = 0.0, start_v: float = 13.0) -> nodal.Solution:
        """The network once it has settled at a level of the hit."""
        start = [0.0 if name[0] == "m" else start_v for name in self.nodes]
        return nodal.solve(self.circuit(level), self.siemens, start)

    def case(self) -> Case:
        """The network at rest, ready to be followed."""
        fixed = [parts.fixed_siemens(port.part) for port in self.ports]
        ohms = port_ohms(self.circuit(), self.siemens, fixed)
        return Case(ohms, fixed, [p.part for p in self.ports], self.rest().element_v)


def net(
    nodes: Sequence[str], branches: Sequence[tuple[int, int, float]], ports: Sequence[Port]
) -> Net:
    """A network with its ports in the order of their kinds."""
    ordered = sorted(ports, key=lambda port: parts.KINDS.index(type(port.part)))
    return Net(list(nodes), list(branches), ordered)


def power(quiet_w: float, hit_w: float, idle_a: float = 0.0) -> parts.Drawn:
    """An amplifier of constant power between hits and in one [W]."""
    quiet, hit = (Load(watts, idle_a, inf, 6.0, True, 13.5) for watts in (quiet_w, hit_w))
    return parts.Drawn(quiet, hit)


def switch(ohm: float) -> parts.Drawn:
    """Contacts that are open at a level of 0 and have so much resistance closed, at 1 [ohm]."""
    quiet, hit = (Load(watts, 0.0, inf, 1.0, False, 1.0) for watts in (0.0, 1.0 / ohm))
    return parts.Drawn(quiet, hit)


def is_switch(part: parts.Part) -> bool:
    """Whether it is such contacts."""
    return isinstance(part, parts.Drawn) and not part.hit.regulated


SNAP_S = 1e-4
"""In which contacts open and close [s]."""


@dataclass(frozen=True)
class Switching:
    """The amplifiers play a kick; switches close, and some open again: by port, moments [s]."""

    kick: Kick
    ports: tuple[Port, ...]
    closed: dict[str, tuple[float, float]]

    @staticmethod
    def of(network: Net, kick: Kick, random: Random) -> "Switching":
        """A network's switches at random moments, half of them for good."""
        closed = {}
        for port in network.ports:
            if is_switch(port.part):
                since = random.randint(20, 400) * 1e-4
                closed[port.name] = (
                    since,
                    random.choice([inf, since + random.randint(100, 500) * 1e-4]),
                )
        drawn = tuple(port for port in network.ports if isinstance(port.part, parts.Drawn))
        return Switching(kick, drawn, closed)

    def levels(self, name: str) -> list[tuple[float, float]]:
        """The bends of a switch: time [s] and level."""
        begin, end = self.closed[name]
        found = [(0.0, 0.0), (begin, 0.0), (begin + SNAP_S, 1.0)]
        return found if end == inf else [*found, (end, 1.0), (end + SNAP_S, 0.0)]

    def level(self, time_s: float) -> NDArray[np.float64]:
        """Of each load in its place."""
        found = []
        for port in self.ports:
            if port.name in self.closed:
                times, levels = zip(*self.levels(port.name), strict=True)
                found.append(float(np.interp(time_s, times, levels)))
            else:
                found.append(self.kick.level(time_s))
        return np.array(found)

    def bends(self) -> list[float]:
        """Where any level bends [s]."""
        own = [time for name in self.closed for time, _ in self.levels(name)]
        return [*self.kick.bends(), *own]


def quick_net(random: Random) -> Net:
    """Such a network in which half of the wires have an inductance, with switches: an isolator
    that closes or opens, a capacitor that is joined through a resistor, a diode; every amplifier
    with a capacitor at its input, without which a load of constant power is not stable there."""
    plain = random_net(random)
    branches: list[tuple[int, int, float]] = []
    nodes, ports = list(plain.nodes), list(plain.ports)
    for number, (a, b, ohm) in enumerate(plain.branches):
        if random.random() < 0.5:
            wire = parts.Wire(ohm, random.uniform(0.2e-6, 5e-6))
            ports.append(Port(f"w{number}", a, b, wire))
        else:
            branches.append((a, b, ohm))
    for port in plain.ports:
        if port.name[0] == "a" and isinstance(port.part, parts.Drawn):
            farads = port.part.hit.power_w * random.uniform(1e-5, 4e-5)
            own = parts.Capacitor(farads, random.uniform(0.004, 0.02))
            ports.append(Port(f"i{port.name}", port.positive, port.negative, own))
    plus = [i for i, name in enumerate(nodes) if name[0] == "n"]
    if random.random() < 0.7:  # a battery behind an isolator
        nodes.append("x0")
        whole = random.uniform(0.003, 0.008)
        slow = 0.2 * whole
        other = parts.Battery(
            random.uniform(12.4, 12.9),
            whole - slow,
            slow,
            slow * 3,
            random.uniform(0.05, 0.5) / slow,
        )
        ports.append(Port("bx", len(nodes) - 1, -1, other))
        contacts = switch(random.uniform(0.0005, 0.003))
        ports.append(Port("s0", random.choice(plus), len(nodes) - 1, contacts))
    if random.random() < 0.7:  # a capacitor that is charged through a resistor
        nodes.append("x1")
        own = parts.Capacitor(random.uniform(0.02, 1.0), random.uniform(0.001, 0.005))
        ports.append(Port("cx", len(nodes) - 1, -1, own))
        branches.append((len(nodes) - 1, -1, 1000.0))  # so that it begins empty
        ports.append(
            Port("s1", random.choice(plus), len(nodes) - 1, switch(random.uniform(0.1, 1)))
        )
    if random.random() < 0.5:  # a lamp or so behind a diode
        nodes.append("x2")
        ports.append(Port("d0", random.choice(plus), len(nodes) - 1, parts.OneWay(0.5, 0.002)))
        ports.append(Port("ax", len(nodes) - 1, -1, power(20.0, random.uniform(50, 150))))
        ports.append(Port("iax", len(nodes) - 1, -1, parts.Capacitor(0.01, 0.01)))
    return net(nodes, branches, ports)


def random_net(random: Random) -> Net:
    """A tree or mesh with batteries, capacitors, perhaps an alternator, lamps and amplifiers."""
    count = random.randint(3, 8)
    backs = random.randint(1, 2)
    nodes = [f"n{i}" for i in range(count)] + [f"m{i}" for i in range(backs)]
    branches = [(i, random.randrange(i), random.uniform(0.001, 0.008)) for i in range(1, count)]
    branches += [(count + i, -1, random.uniform(0.0003, 0.004)) for i in range(backs)]
    if random.random() < 0.5:
        a, b = random.sample(range(count), 2)
        branches.append((a, b, random.uniform(0.002, 0.02)))

    places: list[int] = [-1, *range(count, count + backs)]

    def back() -> int:
        return places[random.randrange(len(places))]

    ports = []
    for i in range(random.randint(1, 2)):
        whole, share = random.uniform(0.003, 0.008), random.uniform(0.1, 0.5)
        slow, tau = share * whole, random.uniform(0.02, 0.5)
        battery = parts.Battery(
            random.uniform(12.5, 12.9), whole - slow, slow, slow * random.uniform(1, 20), tau / slow
        )
        ports.append(Port(f"b{i}", random.randrange(count), back(), battery))
    for i in range(random.randint(1, 3)):
        own = parts.Capacitor(10 ** random.uniform(-1, 1.7), random.uniform(0.001, 0.015))
        ports.append(Port(f"c{i}", random.randrange(count), back(), own))
    if random.random() < 0.7:
        rise = random.choice([inf, 10.0, 100.0])
        generator = parts.Alternator(
            14.2, 0.001, random.uniform(20, 90), random.uniform(0.05, 0.6), rise
        )
        ports.append(Port("g0", random.randrange(count), back(), generator))
    for i in range(random.randint(1, 2)):
        drawn = power(random.uniform(0, 100), random.uniform(200, 900), random.uniform(0, 2))
        ports.append(Port(f"a{i}", random.randrange(count), back(), drawn))
    ports.append(Port("lamps", 0, -1, parts.Lamps(9.2, 13.2, 0.55)))
    return net(nodes, branches, ports)


DECK_OPTIONS = "reltol=1e-6 vntol=1e-8 abstol=1e-9 method=gear"


def deck(
    network: Net,
    kick: Kick,
    until_s: float,
    step_s: float,
    switching: Switching | None = None,
    told: int | None = None,
) -> str:
    """The network and kick for a simulator, which finds the rest before the hit itself.

    It is told where to begin to look: what alternators give, and the voltages of so many nodes
    (``None``: of all). It writes time and the voltage across each port, in their order, to the
    file ``read.data``.
    """
    index = [*network.nodes, "0"]
    rest = network.rest()
    lines = ["* kick"]
    lines += [
        f"R{i} {index[a]} {index[b]} {ohm!r}" for i, (a, b, ohm) in enumerate(network.branches)
    ]
    levels = [(0.0, 0.0)]
    levels += [(time, kick.level(time)) for time in sorted({b for b in kick.bends() if b > 0})]
    points = " ".join(f"{time!r} {level!r}" for time, level in levels)
    lines.append(f"Vlevel level 0 PWL({points})")
    asked = []
    for port, volts in zip(network.ports, rest.element_v, strict=True):
        plus, minus, name, part = index[port.positive], index[port.negative], port.name, port.part
        across = f"v({plus},{minus})" if minus != "0" else f"v({plus})"
        asked.append(across)
        if isinstance(part, parts.Battery):
            slow = f"v({name}m,{name}e)"
            lines += [
                f"V{name} {name}e {minus} {part.rest_v!r}",
                f"R{name} {plus} {name}m {part.quick_ohm!r}",
                f"C{name} {name}m {name}e {part.slow_f!r}",
                f"B{name} {name}m {name}e I={slow}>0 ? {slow}/{part.taking_ohm!r}"
                f" : {slow}/{part.slow_ohm!r}",
            ]
        elif isinstance(part, parts.Capacitor):
            lines += [
                f"R{name} {plus} {name}m {part.ohm!r}",
                f"C{name} {name}m {minus} {part.farads!r}",
            ]
        elif isinstance(part, parts.Alternator):
            wanted = f"max(0,min({part.limit_a!r},({part.set_v!r}-{across})/{part.droop_ohm!r}))"
            rate = f"({wanted}-v({name}x))/{part.lag_s!r}"
            rate = rate if part.rise_a_s == inf else f"min({part.rise_a_s!r},{rate})"
            given = min(max((part.set_v - volts) / part.droop_ohm, 0.0), part.limit_a)
            lines += [
                f"C{name} {name}x 0 1",
                f"B{name}x 0 {name}x I={rate}",
                f"B{name} {minus} {plus} I=v({name}x)",
                f".nodeset v({name}x)={given!r}",
            ]
        elif isinstance(part, parts.Wire):
            lines += [
                f"R{name} {plus} {name}m {part.ohm!r}",
                f"L{name} {name}m {minus} {part.henries!r}",
            ]
        elif isinstance(part, parts.OneWay):
            over = f"({across}-{part.drop_v!r})"
            shut = f"{over}*{nodal.LOOSE_SIEMENS!r}"
            lines.append(f"B{name} {plus} {minus} I={over}>0 ? {over}/{part.ohm!r} : {shut}")
        elif is_switch(part) and isinstance(part, parts.Drawn):
            assert switching is not None
            own = " ".join(f"{time!r} {level!r}" for time, level in switching.levels(name))
            lines += [
                f"V{name} {name}c 0 PWL({own})",
                f"B{name} {plus} {minus} I=v({name}c)*{part.hit.power_w!r}*{across}",
            ]
        elif isinstance(part, parts.Drawn):
            more = part.hit.power_w - part.quiet.power_w
            watts, least = f"({part.quiet.power_w!r}+v(level)*{more!r})", part.quiet.lowest_v
            drawn = f"({watts}/max({across},{least!r})+{part.quiet.idle_a!r})"
            lines.append(f"B{name} {plus} {minus} I={drawn}*min(1,{across}/{least!r})")
        elif isinstance(part, parts.Lamps):
            least = parts.LEAST_LAMP_V
            ratio = f"max({across},{least!r})/{part.volts!r}"
            lit = f"{part.amperes!r}*pow({ratio},{part.exponent!r})"
            lines.append(f"B{name} {plus} {minus} I={lit}*min(1,{across}/{least!r})")
        else:
            raise AssertionError(part)
    for name, volts in list(zip(network.nodes, rest.volts, strict=True))[:told]:
        lines.append(f".nodeset v({name})={volts!r}")
    step = f"{step_s:g}"
    lines += [
        f".options {DECK_OPTIONS}",
        ".control",
        f"tran {step} {until_s:g} 0 {step}",
        "set wr_singlescale",
        "set numdgt=12",
        f"wrdata read.data {' '.join(asked)}",
        ".endc",
        ".end",
    ]
    return "\n".join([*lines, ""])
