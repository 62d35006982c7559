"""What amplifiers and other loads draw."""

from functools import lru_cache
from math import inf

from msgspec import Struct
from msgspec.structs import replace

from domain.build.choices import AmplifierClass, LoadKind, Playing, Works
from domain.build.records import Amplifier, Appliance, Build, Header
from domain.reference.csv_tables import load as load_table
from domain.reference.planning import planned

Taker = Amplifier | Appliance
"""What takes current from the network: an amplifier, or a load that plays no music."""


def takers(build: Build) -> tuple[Taker, ...]:
    """Everything that takes current, amplifiers first."""
    return (*build.amplifiers, *build.appliances)


class Load(Struct, frozen=True):
    """What a load asks of the network.

    Regulated: current = power / V + idle, never above ``cap_a``. Unregulated: the power given
    is that at ``reference_v`` and falls with V squared. Below ``lowest_v`` it fades out.
    """

    power_w: float
    idle_a: float
    cap_a: float
    lowest_v: float
    regulated: bool
    reference_v: float


def rated_w(taker: Taker) -> float:
    """Rated output power of all channels together, or of another load its power as stated [W]."""
    if isinstance(taker, Appliance):
        return 0.0 if taker.kind is LoadKind.CAPACITOR else taker.power_w
    amplifier = taker
    return (
        amplifier.channels * amplifier.channel_w + amplifier.sub_channels * amplifier.sub_channel_w
    )


def largest_wire(amplifier: Amplifier) -> str:
    """Largest wire that its terminals take: as entered, else usual for its power (typical).

    And for what it takes for that: terminals are made for its own current.
    """
    if amplifier.largest_wire is not None:
        return amplifier.largest_wire
    watts = rated_w(amplifier)
    taken = watts / rated_efficiency(amplifier)
    return next(
        wire for most, most_taken, wire in _terminals() if watts <= most and taken <= most_taken
    )


@lru_cache(maxsize=1)
def _terminals() -> tuple[tuple[float, float, str], ...]:
    """Power given and power taken up to which a wire is the largest [W]; the last for all."""
    rows = load_table("amplifier_terminals", ("rated_w_up_to", "taken_w_up_to", "largest_wire"))
    steps = sorted(
        (float(row["rated_w_up_to"]), float(row["taken_w_up_to"]), row["largest_wire"])
        for row in rows
    )
    return (*steps[:-1], (inf, inf, steps[-1][2]))


def rated_efficiency(taker: Taker) -> float:
    """Efficiency at rated power: the user's figure, else typical for the class, or an inverter.

    Other loads take what is stated: 1.
    """
    if isinstance(taker, Appliance):
        if taker.kind is not LoadKind.INVERTER:
            return 1.0
        return taker.efficiency or planned("efficiency_inverter")
    amplifier = taker
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
    return rated_efficiency(amplifier) * float(fraction ** efficiency_exponent(amplifier))


def efficiency_exponent(amplifier: Amplifier) -> float:
    """The power of the fraction of rated power that an amplifier's efficiency goes with."""
    return _EXPONENTS[amplifier.amplifier_class]


_EXPONENTS = {AmplifierClass.AB: 0.5, AmplifierClass.GH: 0.25, AmplifierClass.D: 0.0}


def programme_fraction(header: Header) -> float:
    """Average power of what is played as a fraction of rated power.

    As it was entered, or measured on a song; else planned for what is mostly played.
    """
    if header.average_level is not None:
        return header.average_level
    return planned(f"programme_fraction_{header.programme.value}")


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


def appliance_load(appliance: Appliance, share: float = 1.0) -> Load:
    """The load of something that plays no music, at a share of its power (1: while it runs).

    Constant power and inverters: I = x P / (eta V) + I_0, x being the share. With V_s the voltage
    at which the power is stated, constant current: x P / V_s + I_0; like a resistor:
    x P V / V_s^2 + I_0. A capacitor at rest only leaks: I_0.
    """
    kind, watts = appliance.kind, rated_w(appliance) * share / rated_efficiency(appliance)
    steady = kind is LoadKind.CURRENT
    return Load(
        power_w=0.0 if steady else watts,
        idle_a=appliance.idle_a + (watts / appliance.rated_v if steady else 0.0),
        cap_a=appliance.onboard_fuse_a or inf,
        lowest_v=appliance.lowest_v,
        regulated=kind is not LoadKind.RESISTANCE,
        reference_v=appliance.rated_v,
    )


def may_run(appliance: Appliance, playing: Playing, engine_runs: bool) -> bool:
    """Whether a load may run, with this music and the engine running or not."""
    if appliance.works is Works.MUSIC:
        return playing is not Playing.SILENT
    return engine_runs or appliance.works is Works.ALWAYS


def load_in_state(taker: Taker, header: Header, playing: Playing, engine_runs: bool = True) -> Load:
    """What a load asks for in a state: all of it at full tone, else its average.

    Amplifiers with no music are on and idle.
    """
    if isinstance(taker, Appliance):
        asked = appliance_load(taker, 1.0 if playing is Playing.TONE else taker.duty)
        runs = may_run(taker, playing, engine_runs)
        return asked if runs else replace(asked, power_w=0.0, idle_a=0.0)
    if playing is Playing.SILENT:
        return replace(load(taker, 1.0), power_w=0.0, cap_a=inf)
    return load(
        taker,
        planned("full_tone_fraction") if playing is Playing.TONE else programme_fraction(header),
    )


def lasting_load(taker: Taker, fraction: float) -> Load:
    """What wires and fuses must carry: an amplifier at a fraction of its rated power.

    Any other load in full, however seldom it runs: a fuse is warm after minutes.
    """
    if isinstance(taker, Appliance):
        return appliance_load(taker)
    return load(taker, fraction)


def current_a(load: Load, volts: float) -> float:
    """Current drawn at a voltage at or above the lowest working voltage [A]."""
    drawn = load.power_w / volts if load.regulated else load.power_w * volts / load.reference_v**2
    return min(drawn + load.idle_a, load.cap_a)
