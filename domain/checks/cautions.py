"""Cautions that stand where the work is, once each: on the page of the screen and on its paper.

What concerns the job as a whole stands in the list of cautions. All of it is common practice; the
vehicle maker's instructions, local code and licensed practice come first.
"""

from domain.build.records import Build

FULL_POWER = (
    "CAUTION at full power: ears protected; a steady tone, short, or into a dummy load. "
    "Engine running: exhaust led outdoors, hands and leads clear of belts and fan."
)
"""Readings at full power."""

FULL_POWER_SHORT = "full power: protect ears, short; clear of belts; exhaust outdoors"
"""The same over the table of readings."""

GROUND_POINTS = "never ground to seat-belt bolts, fuel tank or airbag brackets"
"""Where a ground point never goes, as the end of a sentence."""

CUTTING = (
    "CAUTION: sheet clamped, guard on, nobody behind the cut; eyes, ears and lungs protected; let "
    "a blade or bit stop before you reach for a piece."
)
"""Sheets to cut by saw or router."""

JOINING = "never join two over 0.5 V apart"
"""More than one battery, as the end of a sentence."""

LIFTING = (
    "It is heavy and full of acid or energy: lift it by its strap or handles, two people, posts "
    "covered, back straight."
)
"""A battery is put in."""

HIGH_VOLTAGE = (
    "HIGH VOLTAGE: orange cables, what they lead to and the traction battery are deadly. Never "
    "open, drill, cut, clamp or route along them. Before any hole in floor, tunnel or sill the "
    "maker's drawings show what is behind; shutting down is for trained people."
)
"""Hybrid and electric vehicles, wherever wires are routed or holes are drilled."""

HIGH_VOLTAGE_SHORT = "HIGH VOLTAGE: keep off orange cables, never drill blind"
"""The same over a table and on a template."""

DRILLS_OR_ROUTES = ("diagram", "runs", "grounds", "parts")
"""Pages of the pack that show where wires go or holes are drilled into the vehicle."""


def high_voltage(build: Build, *, short: bool = False) -> str:
    """The caution of a vehicle with a traction battery where it is routed or drilled; else ""."""
    if not build.header.drive.high_voltage:
        return ""
    return HIGH_VOLTAGE_SHORT if short else HIGH_VOLTAGE
