"""What the study of each fuse found: what it cannot break, and what it opens together with."""

from collections.abc import Iterator

from domain.build.choices import FuseFamily
from domain.checks.context import Context
from domain.electrical import fuses
from domain.findings import Finding, Level
from domain.sheet import FuseStudy

METHOD = "IEC 60364-5-54 clause 543.1 against the fuse's opening window"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about a fuse itself; whether it saves its wire is judged segment by segment."""
    for s in c.studies:
        if not s.breaks:
            yield _breaking(c, s)
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


def _breaking(c: Context, s: FuseStudy) -> Finding:
    """A fuse that may not break the greatest short: to mend where nothing precedes it."""
    able = [
        family.value
        for family in FuseFamily
        if fuses.breaking_a(family) >= s.fault_near_a and s.rating_a in fuses.ratings(family)
    ]
    ahead = "" if s.first else "; a fuse ahead of it opens with it"
    if s.upstream and not s.first:
        ahead = f"; the fuse of {c.name(s.upstream)} opens with it"
    return Finding(
        Level.FIX if s.first and able else Level.NOTE,
        "fuse-breaking",
        f"{c.name(s.id)}: {c.amps(s.fault_near_a)} are more than its fuse is listed to break",
        "a dead short behind it, batteries full and at their least resistance; "
        f"{s.family} is listed for {c.amps(s.breaking_a)}{ahead}",
        "look that the fuse ahead can break it; a short there takes all that it feeds"
        if not s.first
        else f"a fuse of {' or '.join(able)}, which can break it"
        if able
        else "a fuse whose label names a larger breaking capacity at 32 V or less",
        "IEC 60364-4-43 434.5.1; ISO 8820, breaking capacity (from memory)",
        "runs",
        s.id,
        "fuse_family",
    )


def _finding(
    c: Context, s: FuseStudy, level: Level, code: str, what: str, why: str, do: str
) -> Finding:
    return Finding(level, code, what, f"{why} ({s.curve})", do, METHOD, "runs", s.id, "fuse_a")
