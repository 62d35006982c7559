"""What the study of each fuse found: what it cannot break, and what it opens together with."""

from collections.abc import Iterator

from domain.checks.context import Context
from domain.findings import Finding, Level
from domain.sheet import FuseStudy

METHOD = "IEC 60364-5-54 clause 543.1 against the fuse's opening window"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about a fuse itself; whether it saves its wire is judged segment by segment."""
    for s in c.studies:
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
