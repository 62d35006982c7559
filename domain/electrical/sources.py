"""Batteries and alternators as sources."""

from functools import lru_cache
from itertools import pairwise

from domain.build import Alternator, Battery, Chemistry
from domain.electrical.planning import planned
from domain.reference_tables import load


@lru_cache(maxsize=1)
def _rest_curves() -> dict[Chemistry, tuple[tuple[float, float], ...]]:
    found: dict[Chemistry, list[tuple[float, float]]] = {}
    for row in load("battery_rest_voltage", ("chemistry", "soc_pct", "voltage_v")):
        point = (float(row["soc_pct"]) / 100, float(row["voltage_v"]))
        found.setdefault(Chemistry(row["chemistry"]), []).append(point)
    return {chemistry: tuple(sorted(points)) for chemistry, points in found.items()}


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


def bulk_charge_a(battery: Battery) -> float:
    """What a half-empty battery takes at the absorption voltage [A]."""
    return planned(f"charge_c_rate_{battery.chemistry.value}") * battery.capacity_ah


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


def alternator_limit_a(alternator: Alternator, idle: bool) -> float:
    """Most that an alternator gives hot [A], at engine idle or at cruise."""
    if not idle:
        return alternator.rated_a
    if alternator.idle_a is not None:
        return alternator.idle_a
    return alternator.rated_a * planned("alternator_idle_fraction")
