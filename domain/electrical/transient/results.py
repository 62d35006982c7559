"""What the kick drum does to a build, as frozen values in SI units."""

from msgspec import Struct
from msgspec.structs import replace

Curve = tuple[tuple[float, float], ...]


class Spread(Struct, frozen=True):
    """A figure at the typical values, and where four fifths of all draws lie."""

    typical: float
    low: float
    high: float


class Dip(Struct, frozen=True):
    """What a hit takes off a voltage: the worst hit, against the moment before it [V].

    ``lowest_v`` and ``before_v`` are at the typical values; ``recovers_s`` is how long after the
    hit began it is back but for a tenth, ``None`` where the next one comes first.
    """

    volts: Spread
    before_v: float
    lowest_v: float
    recovers_s: float | None


class Share(Struct, frozen=True):
    """Where a dip comes from at its lowest moment, signed shares that make 1 together.

    ``battery`` and ``wires`` are what the loads' current loses across the battery that feeds them,
    and on the way from it; ``alternator`` and ``capacitor`` what these take off by giving part of
    it, so that they are below 0. ``battery_a``, ``alternator_a`` and ``capacitor_a`` are who gives
    the hit's current, shares of 1.
    """

    battery: float
    wires: float
    alternator: float
    capacitor: float
    battery_a: float
    alternator_a: float
    capacitor_a: float


class Tried(Struct, frozen=True):
    """One thing tried, with the engine in one condition.

    ``remedy`` is "none", "capacitor", "battery", "wires" or "alternator". ``left`` is what it
    leaves of the dip at the lamps, 1 being all of it, draw by draw, and ``whole_left`` the same
    from the least to the most of all draws and corners; ``noticed`` the times of what half of the
    viewers just notice. ``carried`` is false where no voltages fit: the network cannot
    carry the hit.
    """

    remedy: str
    carried: bool
    lamps: Dip
    amplifier: Dip
    left: Spread
    whole_left: Spread
    noticed: Spread
    lamp_curve: Curve
    amplifier_curve: Curve


class Condition(Struct, frozen=True):
    """The engine "idle", "cruise" or "off": what was tried, first the build as it is.

    ``at_lamps`` and ``at_amplifier`` tell where the dips come from; ``band`` is the least and the
    greatest voltage at the lamps over all draws [V] at each moment [s]. ``rivals`` are remedies
    that leave less than the best one does in some draw, though not typically.
    """

    engine: str
    tried: tuple[Tried, ...]
    at_lamps: Share
    at_amplifier: Share
    band: tuple[tuple[float, float, float], ...]
    rivals: tuple[str, ...] = ()

    def of(self, remedy: str) -> Tried | None:
        """What became of one thing tried."""
        return next((each for each in self.tried if each.remedy == remedy), None)


class Edge(Struct, frozen=True):
    """What the inductance of wires adds on the edge of a hit, for some ms.

    ``most_h`` and ``least_h`` are that of the way to the amplifier and back, its wires far from
    their return and beside it [H]; ``most_v`` and ``least_v`` what it takes more there than the
    dip without it, ``capacitor_v`` the same as ``most_v`` with the capacitor that is tried,
    ``lamps_v`` at the lamps [V].
    """

    most_h: float
    least_h: float
    most_v: float
    least_v: float
    capacitor_v: float
    lamps_v: float


class Burst(Struct, frozen=True):
    """The bursts of an amplifier test at the lamps: their dip, and with the capacitor [V]."""

    lamps_v: float
    capacitor_v: float


class KickStudy(Struct, frozen=True):
    """The kick drum on a build: which amplifiers play it, and each condition of the engine.

    ``amplifier`` is the one among them whose voltage dips most; ``hit_w`` what they draw more in a
    hit than between hits [W]. ``edge`` and ``burst`` are for the first of the conditions.
    """

    amplifiers: tuple[str, ...]
    amplifier: str
    hit_w: float
    conditions: tuple[Condition, ...]
    edge: Edge | None = None
    burst: Burst | None = None

    def at(self, engine: str) -> Condition | None:
        """One condition."""
        return next((each for each in self.conditions if each.engine == engine), None)

    def only(self, condition: Condition) -> "KickStudy":
        """The same of one condition alone."""
        if condition is self.conditions[0]:
            return replace(self, conditions=(condition,))
        return replace(self, conditions=(condition,), edge=None, burst=None)
