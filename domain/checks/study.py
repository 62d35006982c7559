"""What the protection study found: fuses that open too late, not at all, or with the main."""

from collections.abc import Iterator

from domain.checks.context import Context
from domain.findings import Finding, Level
from domain.sheet import FuseStudy
from domain.units.gauges import gauge_text

METHOD = "IEC 60364-5-54 clause 543.1 against the fuse's opening window"


def findings(c: Context) -> Iterator[Finding]:
    """Findings of the protection study, where the plain rule of fuse over wire found nothing."""
    results = {r.id: r for r in c.runs}
    for s in c.studies:
        if any((results[run].protected_a or 0) > results[run].ampacity_a for run in s.guarded):
            continue
        if not s.opens:
            yield _finding(
                c,
                s,
                Level.STOP,
                "fuse-never-opens",
                f"{c.name(s.id)}: a short at the far end would not open its fuse",
                f"the batteries can push only {c.amps(s.fault_far_a)} through the wiring, "
                + (
                    f"the fuse must open from {c.amps(s.must_open_a)}"
                    if s.must_open_a is not None
                    else "and nothing entered for the fuse says when it must open"
                ),
                "a smaller fuse, a shorter or thicker wire, or a second fuse further out",
            )
        elif not s.protects:
            weakest = results[s.weakest]
            yield _finding(
                c,
                s,
                Level.FIX,
                "fuse-slow",
                f"{c.name(s.id)}: its fuse may open after {gauge_text(weakest.gauge)} is hurt",
                f"at {c.amps(s.margin_at_a or 0)} the slowest fuse takes "
                f"{1 / s.margin if s.margin else 0:.1f} times what {weakest.name} stands",
                "a smaller fuse, a thicker wire, or the printed curve of the fuse in hand",
            )
        if not s.breaks and not s.upstream:
            yield _finding(
                c,
                s,
                Level.NOTE,
                "fuse-breaking",
                f"{c.name(s.id)}: check what its fuse can break",
                f"a dead short behind it can reach {c.amps(s.fault_near_a)}; the family is listed "
                f"for {c.amps(s.breaking_a)}",
                "use a fuse whose label names a larger breaking capacity at 32 V or less",
            )
        if s.selective is False:
            yield _finding(
                c,
                s,
                Level.NOTE,
                "not-selective",
                f"{c.name(s.id)}: a short may take the fuse of {c.name(s.upstream)} with it",
                f"at {c.amps(s.fault_far_a)} the windows of both overlap",
                "a smaller branch fuse or a slower main fuse, if one must survive the other",
            )


def _finding(
    c: Context, s: FuseStudy, level: Level, code: str, what: str, why: str, do: str
) -> Finding:
    return Finding(level, code, what, f"{why} ({s.curve})", do, METHOD, "runs", s.id, "fuse_a")
