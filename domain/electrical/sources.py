"""Batteries and alternators as sources."""

from functools import lru_cache
from itertools import pairwise

from domain.build.choices import Chemistry
from domain.build.records import Alternator, Battery
from domain.reference.csv_tables import load
from domain.reference.planning import planned


@lru_cache(maxsize=1)
def _rest_curves() -> dict[Chemistry, tuple[tuple[float, float], ...]]:
    found: dict[Chemistry, list[tuple[float, float]]] = {}
    for row in load("battery_rest_voltage", ("chemistry", "soc_pct", "voltage_v")):
        point = (float(row["soc_pct"]) / 100, float(row["voltage_v"]))
        found.setdefault(Chemistry(row["chemistry"]), []).append(point)
    return {chemistry: tuple(sorted(points)) for chemistry, points in found.items()}


@lru_cache(maxsize=1024)
def rest_voltage_v(chemistry: Chemistry, charge: float) -> float:
    """Open-circuit voltage [V] at a state of charge of 0 to 1, straight between table points."""
    points = _rest_curves()[chemistry]
    if charge <= points[0][0]:
        return points[0][1]
    for (c0, v0), (c1, v1) in pairwise(points):
        if charge <= c1:
            return v0 + (v1 - v0) * (charge - c0) / (c1 - c0)
    return points[-1][1]


def internal_ohm(battery: Battery) -> float:
    """Internal resistance, warm [ohm]: measured; else from cranking amperes; else from capacity."""
    if battery.resistance_ohm is not None:
        return battery.resistance_ohm
    if battery.cranking_a is not None:
        return planned("cranking_resistance_v") / battery.cranking_a
    return planned(f"resistance_ah_{battery.chemistry.value}") / battery.capacity_ah


def spread(battery: Battery) -> tuple[float, float]:
    """Least and greatest internal resistance of a battery [ohm].

    Measured: 0.8 to 1.25 times. From cranking amperes: 2.4 to 3.6 V over them. Else by chemistry
    and capacity (typical).
    """
    if battery.resistance_ohm is not None:
        return 0.8 * battery.resistance_ohm, 1.25 * battery.resistance_ohm
    if battery.cranking_a is not None:
        low, high = planned("cranking_resistance_least_v"), planned("cranking_resistance_most_v")
        return low / battery.cranking_a, high / battery.cranking_a
    name = f"resistance_ah_{battery.chemistry.value}"
    low, high = planned(f"{name}_least"), planned(f"{name}_most")
    return low / battery.capacity_ah, high / battery.capacity_ah


def bulk_charge_a(battery: Battery) -> float:
    """What a half-empty battery takes at the absorption voltage [A]."""
    return planned(f"charge_c_rate_{battery.chemistry.value}") * battery.capacity_ah


def greatest_charge_a(battery: Battery) -> float:
    """The most that a battery takes for good while it is far from full [A]; sizes its cables.

    Lead-acid as ``bulk_charge_a``. A LiFePO4 battery takes what it is given, up to what its own
    protection allows: as entered, else one times its capacity an hour (typical, 0.2 to 1).
    """
    if battery.chemistry is Chemistry.LIFEPO4:
        usual = planned("charge_c_most_LiFePO4") * battery.capacity_ah
        return battery.charge_limit_a or usual
    return bulk_charge_a(battery)


def charging_ohm(battery: Battery, charge: float) -> float:
    """Resistance that a battery shows to charging [ohm].

    A battery takes no more than its charge acceptance at the absorption voltage, falling in
    proportion to what is missing; a straight line from rest voltage to there. Never below the
    internal resistance.
    """
    missing = max(1 - charge, 0.02) / 0.5
    accepted = bulk_charge_a(battery) * missing
    rise = max(planned("charge_v") - rest_voltage_v(battery.chemistry, charge), 0.1)
    return max(rise / accepted, internal_ohm(battery))


HALF = 0.5
"""State of charge at which music on the battery should stop, and of the emptier of two: half."""


def discharge_h(capacity_ah: float, current_a: float, exponent: float, rated_h: float) -> float:
    """Hours to empty at a steady current: H (C / (I H))^k, Peukert referred to the H-hour rate.

    Valid for positive currents; at the rated current it gives exactly H.
    """
    return float(rated_h * (capacity_ah / (current_a * rated_h)) ** exponent)


def peukert(battery: Battery) -> float:
    """Exponent of the law by which a battery gives less the faster it is drained."""
    return planned(f"peukert_{battery.chemistry.value}")


def hours_to_empty(capacity_ah: float, current_a: float, exponent: float) -> float:
    """Hours that a full battery gives a current [A]; at most its capacity over that current.

    Peukert's law above the rated rate (20 h for lead-acid). Below it the law promises more than
    the capacity, which nobody should plan with.
    """
    law = discharge_h(capacity_ah, current_a, exponent, planned("rated_hours"))
    return min(law, capacity_ah / current_a)


def charge_rate(battery: Battery, into_a: float) -> float:
    """Change of a battery's state of charge in a second at a current into it [A]; < 0: drained.

    Drained it loses by Peukert's law; of what charges it only a share is kept, the rest goes
    into gas and heat (ampere-hour efficiency).
    """
    if into_a >= 0:
        kept = planned(f"charge_kept_{battery.chemistry.value}")
        return into_a * kept / battery.capacity_ah / 3600
    return -1 / hours_to_empty(battery.capacity_ah, -into_a, peukert(battery)) / 3600


@lru_cache(maxsize=1)
def _output_curve() -> tuple[tuple[float, float], ...]:
    rows = load("alternator_output", ("speed_per_min", "fraction"))
    return tuple(sorted((float(r["speed_per_min"]), float(r["fraction"])) for r in rows))


def output_fraction(speed_per_min: float) -> float:
    """Output over rated output at an alternator speed, straight between table points.

    Rated output is stated at 6000 per minute (ISO 8854, from memory); below the first point it
    falls to nothing at standstill.
    """
    points = ((0.0, 0.0), *_output_curve())
    for (s0, f0), (s1, f1) in pairwise(points):
        if speed_per_min <= s1:
            return f0 + (f1 - f0) * (speed_per_min - s0) / (s1 - s0)
    return points[-1][1]


@lru_cache(maxsize=256)
def alternator_limit_a(alternator: Alternator, idle: bool) -> float:
    """Most that an alternator gives hot [A], at engine idle or at cruise.

    A hot rating is what it gives at cruise; a plate rating, and one of which nobody said what it
    is, holds warm at 6000 per minute and is brought to heat and speed. Idle follows the output
    curve unless it is entered.
    """
    at_idle = output_fraction(alternator.idle_rpm * alternator.pulley_ratio)
    at_cruise = output_fraction(alternator.cruise_rpm * alternator.pulley_ratio)
    if idle and alternator.idle_a is not None:
        return alternator.idle_a
    if alternator.hot:
        share = min(at_idle / at_cruise, 1.0) if at_cruise else 0.0
        return alternator.rated_a * (share if idle else 1.0)
    plate = alternator.rated_a * planned("alternator_hot_fraction")
    return plate * (at_idle if idle else at_cruise)
