"""What stands between two nodes in the first tenth of a second, part by part.

At rest every part takes what its steady law says, so that a hit which is held for good ends in the
steady state of the network. A part that is not joined has an infinite resistance.
"""

from collections.abc import Sequence
from math import inf
from typing import NamedTuple

from msgspec import Struct

from domain.electrical.loads import Load
from domain.electrical.network import nodal

LEAST_LAMP_V = 0.1
"""Below this a lamp is a resistor [V]: V^(n - 1) has no end at zero."""


class Battery(Struct, frozen=True):
    """A battery: rest voltage [V] behind a quick resistance and a slow one beside a capacitance.

    The slow one [ohm] is another while it takes charge; ``slow_f`` [F] gives the time between.
    """

    rest_v: float
    quick_ohm: float
    slow_ohm: float
    taking_ohm: float
    slow_f: float


class Capacitor(Struct, frozen=True):
    """A capacitor [F] behind its series resistance and leads [ohm], with what it leaks [A]."""

    farads: float
    ohm: float
    leak_a: float = 0.0


class Alternator(Struct, frozen=True):
    """An alternator: (set - V) / droop up to its limit [A], which its current follows with a lag.

    ``lag_s`` is the time constant [s], ``rise_a_s`` the most that it rises by in a second [A/s].
    """

    set_v: float
    droop_ohm: float
    limit_a: float
    lag_s: float
    rise_a_s: float = inf


class Drawn(Struct, frozen=True):
    """An amplifier or another load: what it asks for between hits and, at most, in one."""

    quiet: Load
    hit: Load

    def at(self, level: float) -> Load:
        """What it asks for at a level of the hit, 0 to 1."""
        return self.hit if level > 0.5 else self.quiet


class Lamps(Struct, frozen=True):
    """Filament lamps: I = I_0 (V / V_0)^n [A]."""

    amperes: float
    volts: float
    exponent: float


class OneWay(Struct, frozen=True):
    """An isolator that passes one way: above its drop [V], behind its resistance [ohm]."""

    drop_v: float
    ohm: float


class Wire(Struct, frozen=True):
    """A wire whose inductance counts: its resistance [ohm] in series with it [H]."""

    ohm: float
    henries: float


Part = Battery | Capacitor | Alternator | Drawn | Lamps | OneWay | Wire

KINDS = (Battery, Capacitor, Alternator, Drawn, Lamps, OneWay, Wire)
"""The order in which the parts of a network stand."""


class Port(NamedTuple):
    """A part between two nodes; current counts from ``positive`` through it to ``negative``."""

    name: str
    positive: int
    negative: int
    part: Part


def lamp_law(lamps: Lamps) -> nodal.Law:
    """Filament lamps as an element of the network."""
    n, scale = lamps.exponent, lamps.amperes / lamps.volts**lamps.exponent
    least = scale * LEAST_LAMP_V ** (n - 1)

    def law(v: float) -> tuple[float, float]:
        if v < LEAST_LAMP_V:
            return least * v, least
        amperes = scale * v**n
        return amperes, n * amperes / v

    return law


def steady_law(part: Part, level: float = 0.0) -> nodal.Law:
    """What a part takes once everything has settled, at a level of the hit held for good."""
    if isinstance(part, Battery):
        if part.quick_ohm == inf:
            return nodal.steady_law(0.0, 1.0)
        quick = part.quick_ohm
        return nodal.battery_law(part.rest_v, quick + part.slow_ohm, quick + part.taking_ohm)
    if isinstance(part, Capacitor):
        return nodal.steady_law(part.leak_a, 1.0)
    if isinstance(part, Alternator):
        return nodal.alternator_law(part.set_v, part.droop_ohm, part.limit_a)
    if isinstance(part, Drawn):
        return nodal.load_law(part.at(level))
    if isinstance(part, Lamps):
        return lamp_law(part)
    if isinstance(part, Wire):
        return nodal.battery_law(0.0, part.ohm, part.ohm)
    return nodal.one_way_law(part.drop_v, part.ohm, inf)


def knees(part: Part) -> tuple[float, ...]:
    """Where the steady law of a part bends [V]."""
    if isinstance(part, Alternator):
        return part.set_v - part.droop_ohm * part.limit_a, part.set_v
    return (part.drop_v,) if isinstance(part, OneWay) else ()


def elements(ports: Sequence[Port], level: float = 0.0) -> list[nodal.Element]:
    """The ports as elements of the steady network."""
    return [element(port, level) for port in ports]


def element(port: Port, level: float = 0.0) -> nodal.Element:
    """A port as an element of the steady network."""
    law = steady_law(port.part, level)
    return nodal.Element(port.name, port.positive, port.negative, law, knees(port.part))


def fixed_siemens(part: Part) -> float:
    """What of a part is put into the network for good [S]: it leaves no node of it loose.

    Any value gives the same currents; near the part's own the equations settle in fewer rounds.
    """
    if isinstance(part, Battery):
        return 1 / part.quick_ohm
    if isinstance(part, Capacitor | Wire):
        return 1 / part.ohm
    return 0.01
