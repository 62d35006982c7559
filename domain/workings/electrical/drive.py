"""Workings of the drive profile: the post voltage of a moment, and the charge by then."""

from domain.build.records import Build
from domain.electrical import sources
from domain.electrical.network import nodal
from domain.reference.planning import planned
from domain.sheet import DriveResult
from domain.workings.cited import ENTERED, LAWS, cite, plan, plan_source, row_source
from domain.workings.working import Input, Working


def _step_s(build: Build, result: DriveResult, at: int) -> float:
    """How long the moment stands for [s]: to the next one, or to the end."""
    if at + 1 < len(result.points):
        return result.points[at + 1].time_s - result.points[at].time_s
    return sum(leg.duration_s for leg in build.legs) - result.points[at].time_s


def voltage(build: Build, result: DriveResult, at: int) -> Working:
    """Post voltage of the starter battery at a point: from its charge and its current.

    ``IndexError`` if there is no such point, ``LookupError`` if the build has no battery.
    """
    point = result.points[at]
    if not build.batteries:
        raise LookupError("the build has no battery")
    battery = build.batteries[0]
    charge = point.charge[battery.id]
    amperes = point.given_a[battery.id]
    rest = sources.rest_voltage_v(battery.chemistry, min(max(charge, 0.0), 1.0))
    if amperes >= 0:
        ohm = sources.internal_ohm(battery) if charge > 0 else 1 / nodal.BLEED_SIEMENS
        said = "internal resistance" if charge > 0 else "it is empty and gives no more"
    else:
        ohm = sources.charging_ohm(battery, charge) if charge < 1 else 1 / nodal.BLEED_SIEMENS
        said = "what limits charging" if charge < 1 else "it is full and takes no more"
    return Working(
        f"Post voltage after {point.time_s:.0f} s",
        "V = V_0(s) - I R",
        (
            Input("s", "state of charge", charge),
            Input("I", "out of the battery, from the network solved", amperes, "A"),
            Input("V_0", "rest voltage at that charge", rest, "V"),
            Input("R", said, ohm, "ohm"),
        ),
        (),
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
    drained = kept = 0.0
    for i, each in enumerate(result.points[:at]):
        for b in build.batteries:
            change = sources.charge_rate(b, -each.given_a[b.id]) * _step_s(build, result, i)
            drained += max(-change, 0.0) * b.capacity_ah
            kept += max(change, 0.0) * b.capacity_ah
    kinds = sorted({b.chemistry.value for b in build.batteries})
    names = [f"{what}_{kind}" for kind in kinds for what in ("peukert", "charge_kept")]
    return Working(
        f"State of charge after {point.time_s:.0f} s, all batteries",
        "s = (Q_0 - Q_d + Q_k) / C, Q_d = sum of I dt (I H / C)^(k-1), Q_k = sum of e I dt",
        (
            Input("Q_0", "stored at the start", stored, "Ah"),
            Input("Q_d", f"drained in {at} steps, by Peukert's law", drained, "Ah"),
            Input("Q_k", "kept of what charged them", kept, "Ah"),
            Input("C", "capacity of all", capacity, "Ah"),
            *(plan(f"k {name[8:]}", name) for name in names if name.startswith("peukert")),
            *(plan(f"e {name[12:]}", name) for name in names if name.startswith("charge")),
            plan("H", "rated_hours"),
        ),
        (
            f"start: {planned('state_of_charge'):.0%} where nothing else was said",
            "at less than the rated current a battery is drained by the current itself",
        ),
        (stored - drained + kept) / capacity,
        "-",
        cite(LAWS, plan_source("state_of_charge", "rated_hours", *names)),
    )
