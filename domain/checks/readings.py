"""A reading that does not pass is a finding: it does not stay behind on its own page."""

from collections.abc import Iterator

from domain.checks.context import Context
from domain.electrical.meter.readings import JudgedReading, judged_in
from domain.findings import Finding, Level
from domain.reference.planning import planned

STOPS = "reading_stop_w"
"""Planning value: the heat in a joint from which on it is switched off."""


def findings(c: Context) -> Iterator[Finding]:
    """One finding for each reading that fails."""
    if not any(reading.value_v is not None for reading in c.build.readings):
        return
    for each in judged_in(c.build, c.states):
        if each.ok is False and each.extra_w is not None and each.extra_w >= planned(STOPS):
            yield _hot(c, each, each.extra_w)
        elif each.ok is False:
            yield Finding(
                Level.FIX,
                "reading-failed",
                f"{c.name(each.at)}: a reading of {c.volts(each.value_v)} fails",
                f"{each.message}; predicted {c.volts(each.predicted_v)}",
                "look at the suspects of the readings, likeliest first, re-make that joint and "
                "read again; or enter what the vehicle has otherwise than the plan",
                "nodal analysis of the plan against the meter",
                "readings",
                each.id,
                "value_v",
            )


def _hot(c: Context, each: JudgedReading, heat_w: float) -> Finding:
    """So much heat that a joint burns what is round it."""
    heat = c.show("power", heat_w)
    return Finding(
        Level.STOP,
        "reading-hot",
        f"{c.name(each.at)}: a reading of {c.volts(each.value_v)} means {heat} of heat too much",
        f"{each.message}; predicted {c.volts(each.predicted_v)}; at the planned "
        f"{c.amps(each.through_a)} that is {heat}, and in one joint tens of watts, as in a "
        "soldering iron, melt and burn the plastic round it",
        "switch off, let it cool, pull the fuse before you touch it; then re-make the joint, "
        "likeliest suspect first, and read again",
        "Joule's law on the meter's reading; common practice (bound from memory)",
        "readings",
        each.id,
        "value_v",
    )
