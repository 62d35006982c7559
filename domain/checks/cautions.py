"""Cautions that stand where the work is, once each: on the page of the screen and on its paper.

What concerns the job as a whole stands in the list of cautions. All of it is common practice; the
vehicle maker's instructions, local code and licensed practice come first.
"""

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
