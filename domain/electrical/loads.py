"""What amplifiers draw."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from math import inf, sqrt

from domain.build.choices import AmplifierClass, Programme
from domain.build.records import Amplifier
from domain.reference.csv_tables import load as load_table
from domain.reference.planning import planned


@dataclass(frozen=True, slots=True)
class Load:
    """What an amplifier asks of the network.

    Regulated: current = power / V + idle, never above ``cap_a``. Unregulated: the power given
    is that at ``reference_v`` and falls with V squared. Below ``lowest_v`` it fades out.
    """

    power_w: float
    idle_a: float
    cap_a: float
    lowest_v: float
    regulated: bool
    reference_v: float


def rated_w(amplifier: Amplifier) -> float:
    """Rated output power of all channels together [W]."""
    return (
        amplifier.channels * amplifier.channel_w + amplifier.sub_channels * amplifier.sub_channel_w
    )


def largest_wire(amplifier: Amplifier) -> str:
    """Largest wire that its terminals take: as entered, else usual for its power (typical)."""
    if amplifier.largest_wire is not None:
        return amplifier.largest_wire
    watts = rated_w(amplifier)
    return next(wire for most, wire in _terminals() if watts <= most)


@lru_cache(maxsize=1)
def _terminals() -> tuple[tuple[float, str], ...]:
    rows = load_table("amplifier_terminals", ("rated_w_up_to", "largest_wire"))
    steps = sorted((float(row["rated_w_up_to"]), row["largest_wire"]) for row in rows)
    return (*steps[:-1], (inf, steps[-1][1]))


def rated_efficiency(amplifier: Amplifier) -> float:
    """Efficiency at rated power: the user's figure, else typical for the class."""
    if amplifier.efficiency is not None:
        return amplifier.efficiency
    return planned(f"efficiency_{amplifier.amplifier_class.value}")


def efficiency_at(amplifier: Amplifier, fraction: float) -> float:
    """Efficiency at a fraction of rated power.

    Class AB follows the square root of power, eta_max sqrt(P/P_rated): the output stage's
    supply current is proportional to the amplitude (class B theory, pi/4 at full swing). Class D
    is nearly flat, its fixed loss is the idle current. Class G/H lies between: the low rail
    halves the loss, which is taken as the fourth root. Common practice for D and G/H.
    """
    peak = rated_efficiency(amplifier)
    if amplifier.amplifier_class is AmplifierClass.AB:
        return peak * sqrt(fraction)
    if amplifier.amplifier_class is AmplifierClass.GH:
        return peak * sqrt(sqrt(fraction))
    return peak


def programme_fraction(programme: Programme) -> float:
    """Average power of the programme as a fraction of rated power."""
    return planned(f"programme_fraction_{programme.value}")


def load(amplifier: Amplifier, fraction: float) -> Load:
    """The load of an amplifier that plays at a fraction of its rated power."""
    power = rated_w(amplifier) * fraction / efficiency_at(amplifier, fraction)
    return Load(
        power_w=power,
        idle_a=amplifier.idle_a,
        cap_a=amplifier.onboard_fuse_a or inf,
        lowest_v=amplifier.lowest_v,
        regulated=amplifier.regulated,
        reference_v=planned("design_v"),
    )


def current_a(load: Load, volts: float) -> float:
    """Current drawn at a voltage at or above the lowest working voltage [A]."""
    return draw(load)(volts)


def draw(load: Load) -> Callable[[float], float]:
    """``current_a`` of one load as a function of the voltage, for who asks thousands of times."""
    power_w, idle_a, cap_a, square = load.power_w, load.idle_a, load.cap_a, load.reference_v**2

    def regulated(volts: float) -> float:
        amperes = power_w / volts + idle_a
        return amperes if amperes < cap_a else cap_a

    def unregulated(volts: float) -> float:
        amperes = power_w * volts / square + idle_a
        return amperes if amperes < cap_a else cap_a

    return regulated if load.regulated else unregulated
