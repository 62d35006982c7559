"""Wires side by side between the same points: do they share, and what if one fuse opens?"""

from collections.abc import Iterator

from domain.build.choices import Polarity
from domain.build.records import Run
from domain.checks.context import Context
from domain.electrical.parallel import side_by_side
from domain.electrical.protection.circulation import MUST_OPEN
from domain.findings import Finding, Level
from domain.sheet import RunResult
from domain.ties import first_most
from domain.units.gauges import gauge_text

UNLIKE = 0.1
"""Wires whose currents differ by more than this share of the larger do not share alike."""


def findings(c: Context) -> Iterator[Finding]:
    """Findings about wires that lie side by side."""
    results = {r.id: r for r in c.runs}
    for runs in side_by_side(c.build, c.wiring):
        own = [results[run.id] for run in runs]
        yield _shared(c, runs, own)
        if max(r.design_a for r in own) > 0 and _unlike(own):
            yield _unequal(c, runs, own)


def _unlike(own: list[RunResult]) -> bool:
    most = max(r.design_a for r in own)
    return min(r.design_a for r in own) < most * (1 - UNLIKE)


def _shared(c: Context, runs: tuple[Run, ...], own: list[RunResult]) -> Finding:
    """What happens when one of them goes."""
    wires = sum(run.count for run in runs)
    worst = first_most(own, lambda r: (r.one_open_a or 0.0) / max(r.fuse_a or r.ampacity_a, 1e-9))
    left = worst.one_open_a or 0.0
    total = sum(r.design_a * r.count for r in own)
    ground = runs[0].polarity is Polarity.GROUND
    lost = "one loose" if ground else "one fuse open"
    others = "the other carries" if wires == 2 else "each of the others carries"
    fate = _fate(c, worst, left)
    return Finding(
        Level.NOTE,
        "parallel",
        f"{c.name(runs[0].id)}: {wires} wires side by side",
        f"they share {c.amps(total)} at full power; with {lost} {others} {c.amps(left)}: {fate}",
        "all of one length and gauge, with the same terminals and fuses; look at every one of them "
        "when the music gets weak",
        "IEC 60364-4-43 433.4 and 434.4; NFPA 70 310.10(G) (from memory)",
        "runs",
        runs[0].id,
        "count",
    )


def _fate(c: Context, r: RunResult, left_a: float) -> str:
    if r.fuse_a is None:
        bears = "which it bears" if left_a <= r.ampacity_a else "more than it bears for good"
        return f"{bears}, {gauge_text(r.gauge)} for {c.amps(r.ampacity_a)}"
    fuse = c.amps(r.fuse_a)
    if left_a <= r.fuse_a:
        return f"its own fuse of {fuse} holds, and the wire with it"
    if left_a < r.fuse_a * MUST_OPEN:
        return f"its own fuse of {fuse} may open too, and saves the wire"
    return f"its own fuse of {fuse} opens too, and saves the wire"


def _unequal(c: Context, runs: tuple[Run, ...], own: list[RunResult]) -> Finding:
    most, least = (pick(own, key=lambda r: r.design_a) for pick in (max, min))
    return Finding(
        Level.NOTE,
        "parallel-unlike",
        f"{c.name(runs[0].id)}: the wires beside it do not share alike",
        f"{c.name(most.id)} takes {c.amps(most.design_a)} a wire, {c.name(least.id)} "
        f"{c.amps(least.design_a)}, as their resistances ask; each is judged with its own",
        "give them one length and one gauge, or enter them as one run of several wires",
        "IEC 60364-4-43 433.4.2 (from memory); Kirchhoff's laws",
        "runs",
        runs[0].id,
        "length_m",
    )
