"""A reading that does not pass is a finding: it does not stay behind on its own page."""

from collections.abc import Iterator

from domain.checks.context import Context
from domain.electrical.meter.readings import judged_in
from domain.findings import Finding, Level


def findings(c: Context) -> Iterator[Finding]:
    """One finding for each reading that fails."""
    if not any(reading.value_v is not None for reading in c.build.readings):
        return
    for each in judged_in(c.build, c.states):
        if each.ok is False:
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
