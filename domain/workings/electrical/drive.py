"""Workings of the drive profile: the post voltage of a moment, and the charge by then."""

from domain.build.records import Build
from domain.electrical import sources
from domain.electrical.network import nodal
from domain.reference.planning import planned
from domain.sheet import DriveResult
from domain.workings.cited import ENTERED, LAWS, cite, plan_source, row_source
from domain.workings.working import Input, Working

SECONDS = 3600


def _step_s(build: Build, result: DriveResult, at: int) -> float:
    """How long the moment stands for [s]: to the next one, or to the end."""
    if at + 1 < len(result.points):
        return result.points[at + 1].time_s - result.points[at].time_s
    return sum(leg.duration_s for leg in build.legs) - result.points[at].time_s


def voltage(build: Build, result: DriveResult, at: int) -> Working:
    """Post voltage of the starter battery at a point: from its charge and its current.

    The current follows from what its charge changed by. ``IndexError`` if there is no such
    point, ``LookupError`` if the build has no battery.
    """
    point = result.points[at]
    if not build.batteries:
        raise LookupError("the build has no battery")
    battery = build.batteries[0]
    charge = point.charge[battery.id]
    if at + 1 < len(result.points):
        after = result.points[at + 1].charge[battery.id]
    else:
        start = result.points[0].charge[battery.id]
        after = start + result.stored_ah[battery.id] / battery.capacity_ah
    step = _step_s(build, result, at)
    amperes = (charge - after) * battery.capacity_ah * SECONDS / step
    rest = sources.rest_voltage_v(battery.chemistry, min(max(charge, 0.0), 1.0))
    if amperes >= 0:
        ohm = sources.internal_ohm(battery) if charge > 0 else 1 / nodal.BLEED_SIEMENS
        said = "internal resistance" if charge > 0 else "it is empty and gives no more"
    else:
        ohm = sources.charging_ohm(battery, charge) if charge < 1 else 1 / nodal.BLEED_SIEMENS
        said = "what limits charging" if charge < 1 else "it is full and takes no more"
    return Working(
        f"Post voltage after {point.time_s:.0f} s",
        "V = V_0(s) - I R, I = C (s - s') 3600 / dt",
        (
            Input("s", "state of charge", charge),
            Input("s'", "state of charge at the end of the step", after),
            Input("C", "capacity", battery.capacity_ah, "Ah"),
            Input("dt", "step", step, "s"),
            Input("V_0", "rest voltage at that charge", rest, "V"),
            Input("R", said, ohm, "ohm"),
        ),
        (f"I = {amperes:.5g} A out of the battery",),
        rest - amperes * ohm,
        "V",
        cite(
            LAWS,
            row_source("battery_rest_voltage", chemistry=battery.chemistry.value),
            plan_source("charge_v", f"charge_c_rate_{battery.chemistry.value}"),
            ENTERED,
        ),
    )


def charge(build: Build, result: DriveResult, at: int) -> Working:
    """State of charge of all batteries together at a point, by counting ampere hours.

    ``IndexError`` if there is no such point, ``LookupError`` if the build has no battery.
    """
    point = result.points[at]
    if not build.batteries:
        raise LookupError("the build has no battery")
    capacity = sum(b.capacity_ah for b in build.batteries)
    first = result.points[0].charge
    stored = sum(first[b.id] * b.capacity_ah for b in build.batteries)
    gone = sum(
        each.battery_a * _step_s(build, result, i) / SECONDS
        for i, each in enumerate(result.points[:at])
    )
    return Working(
        f"State of charge after {point.time_s:.0f} s, all batteries",
        "s = (Q_0 - sum of I dt / 3600) / C",
        (
            Input("Q_0", "stored at the start", stored, "Ah"),
            Input("sum", f"given in {at} steps, less what was taken", gone, "Ah"),
            Input("C", "capacity of all", capacity, "Ah"),
        ),
        (f"start: {planned('state_of_charge'):.0%} where nothing else was said",),
        (stored - gone) / capacity,
        "-",
        cite(LAWS, plan_source("state_of_charge")),
    )
