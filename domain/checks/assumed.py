"""What a plan assumes and nobody entered is named by the findings that it brings about."""

from collections.abc import Iterable, Iterator

from msgspec.structs import replace

from domain.build.records import Amplifier, Run
from domain.checks.context import Context
from domain.document.records import find
from domain.electrical import conductors, loads
from domain.findings import Finding
from domain.units.gauges import gauge_text

_BY_THE_TERMINAL = ("wire-overloaded", "fuse-over-wire", "ground-overload", "drop", "fuse-slow")
"""Findings that a thicker wire would settle."""


def with_assumptions(c: Context, found: Iterable[Finding]) -> Iterator[Finding]:
    """The findings, each with the assumed terminal that keeps its wire from being thicker."""
    for finding in found:
        told = _assumed(c, finding) if finding.code in _BY_THE_TERMINAL else None
        if told is None:
            yield finding
            continue
        amplifier, largest = told
        yield replace(
            finding,
            why=f"{finding.why}; {c.name(amplifier.id)} is assumed to take {gauge_text(largest)} "
            "at most, as is usual for its power",
            do=f"enter what {c.name(amplifier.id)} takes under Max wire; else {finding.do}",
        )


def _assumed(c: Context, finding: Finding) -> tuple[Amplifier, str] | None:
    """The amplifier whose assumed terminal holds the run of a finding to its gauge."""
    run = find(c.build, finding.id)
    result = next((r for r in c.runs if r.id == finding.id), None)
    if not isinstance(run, Run) or result is None or not result.gauge_auto:
        return None
    for id in (run.source, run.target):
        device = find(c.build, id)
        if isinstance(device, Amplifier) and device.largest_wire is None:
            largest = loads.largest_wire(device)
            # Its gauge is the thickest that goes in: one a little thicker does not.
            here, most = conductors.area_mm2(result.gauge), conductors.area_mm2(largest)
            thicker = [
                g
                for g in conductors.stock(c.build.header.wire_sizes)
                if here * 1.01 < conductors.area_mm2(g) and conductors.fits(g, largest)
            ]
            if not thicker and here <= most * 1.01:
                return device, largest
    return None
