"""What nobody knows of a vehicle in the first tenth of a second, and the draws taken of it.

Resistances, time constants and the regulator's manner are drawn between their least and their
greatest planning value, half of the draws on either side of the typical one, evenly in proportion.
The draws are the same at every run: a sequence that fills the room evenly (Halton's, from memory).
Beside them stand the corners, at which what helps must hold too.
"""

from collections.abc import Iterator
from math import inf

from msgspec import Struct
from msgspec.structs import replace

from domain.reference.planning import planned

DRAWS = 11
"""Draws beside the typical values."""

BASES = (2, 3, 5, 7, 11, 13)


class Unknowns(Struct, frozen=True):
    """One set of values. ``battery`` is where the resistance lies in its spread, -1 to 1.

    ``slow_share`` is the slow part of that resistance, ``slow_s`` its time constant; ``lag_s`` the
    alternator's, ``rise_a_s`` what its current may rise by at idle; ``capacitor_ohm`` the series
    resistance of a capacitor of 1 F of which nothing is told [ohm].
    """

    battery: float
    slow_share: float
    slow_s: float
    lag_s: float
    rise_a_s: float
    capacitor_ohm: float


def typical() -> Unknowns:
    """The values that are taken where one is told."""
    return Unknowns(
        0.0,
        planned("battery_slow_share"),
        planned("battery_slow_s"),
        planned("alternator_lag_s"),
        planned("alternator_rise_a_s"),
        planned("kick_capacitor_ohm"),
    )


def draws(count: int = DRAWS) -> Iterator[Unknowns]:
    """So many further sets between the least and the greatest values."""
    for number in range(1, count + 1):
        at = [_halton(number, base) for base in BASES]
        yield Unknowns(
            2 * at[0] - 1,
            _between("battery_slow_share", at[1]),
            _between("battery_slow_s", at[2]),
            _between("alternator_lag_s", at[3]),
            planned("alternator_rise_a_s") if at[4] < 0.5 else inf,
            _between("kick_capacitor_ohm", at[5]),
        )


def corners() -> Iterator[Unknowns]:
    """The ends of what decides most over what helps: a battery's time constant, and how poor a
    capacitor is, the battery's slow part as large as it gets; all else typical."""
    for slow_s in ("battery_slow_s_least", "battery_slow_s_most"):
        for capacitor_ohm in ("kick_capacitor_ohm_least", "kick_capacitor_ohm_most"):
            yield replace(
                typical(),
                slow_share=planned("battery_slow_share_most"),
                slow_s=planned(slow_s),
                capacitor_ohm=planned(capacitor_ohm),
            )


def between(least: float, typical: float, most: float, at: float) -> float:
    """A value at -1 (the least) to 1 (the most), 0 the typical one, evenly in proportion."""
    return float(typical * ((most / typical) ** at if at > 0 else (least / typical) ** -at))


def _between(name: str, share: float) -> float:
    least, most = planned(f"{name}_least"), planned(f"{name}_most")
    return between(least, planned(name), most, 2 * share - 1)


def _halton(number: int, base: int) -> float:
    found, digit = 0.0, 1.0
    while number:
        digit /= base
        number, rest = divmod(number, base)
        found += rest * digit
    return found
