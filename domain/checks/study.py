"""What the study of each fuse found: what it cannot break, and what it opens together with."""

from collections.abc import Iterator

from domain.build.choices import FuseFamily, shown
from domain.checks.context import Context
from domain.electrical import fuses
from domain.findings import Finding, Level
from domain.sheet import FuseStudy
from domain.ties import first_most

METHOD = "IEC 60364-5-54 clause 543.1 against the fuse's opening window"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about a fuse itself; whether it saves its wire is judged segment by segment."""
    behind: dict[str, list[FuseStudy]] = {}
    backed = _backed_up(c)
    for s in c.studies:
        if not s.breaks and not s.first and s.id not in backed:
            behind.setdefault(s.upstream, []).append(s)
    for s in c.studies:
        if not s.breaks and s.first:
            yield _breaking(c, s)
        if s in behind.get(s.upstream, ()):
            yield _behind(c, behind.pop(s.upstream))
        if s.selective is False:
            yield _finding(
                c,
                s,
                Level.NOTE,
                "not-selective",
                f"{c.name(s.id)}: a short may blow the fuse of {c.name(s.upstream)} too",
                f"at {c.amps(s.fault_far_a)} both may open, so they are not coordinated",
                "a smaller branch fuse or a slower main fuse, if one must survive the other",
            )


def _backed_up(c: Context) -> frozenset[str]:
    """Fuses of an auto type behind one that is able to break the greatest short at either.

    Such a pair is what the standard allows, and what the plan chose by itself: nothing is to do.
    """
    studied = {s.id: s for s in c.studies}
    auto = {
        run.id
        for run in c.build.runs
        if run.fuse_family is None and run.breaks_a is None and not run.existing
    }
    able = {s.id for s in c.studies if s.breaks}

    def ahead(s: FuseStudy) -> Iterator[FuseStudy]:
        seen = {s.id}
        while s.upstream in studied and s.upstream not in seen:
            s = studied[s.upstream]
            seen.add(s.id)
            yield s

    return frozenset(
        s.id
        for s in c.studies
        if s.id in auto
        and any(each.id in able and each.breaking_a >= s.fault_near_a for each in ahead(s))
    )


BREAKING = "IEC 60364-4-43 434.5.1; ISO 8820, interrupting rating (from memory)"
DEAD_SHORT = "a dead short behind it, batteries full and at their least resistance; "


def _behind(c: Context, together: list[FuseStudy]) -> Finding:
    """Fuses behind one fuse that may not break the greatest short: said once, of the worst."""
    worst = first_most(together, lambda s: s.fault_near_a / max(s.breaking_a, 1e-9))
    others = ", ".join(c.name(s.id) for s in together if s.id != worst.id)
    ahead = f"the fuse of {c.name(worst.upstream)}" if worst.upstream else "a fuse ahead of it"
    return Finding(
        Level.NOTE,
        "fuse-breaking",
        f"{c.name(worst.id)}: {c.amps(worst.fault_near_a)} are more than its fuse is listed to "
        "break",
        DEAD_SHORT
        + f"{shown(worst.family)} is listed for {c.amps(worst.breaking_a)}; {ahead} opens with it"
        + (f"; so it is with {others}" if others else ""),
        "look that the fuse ahead can break it; a short there takes all that it feeds",
        BREAKING,
        "runs",
        worst.id,
        "fuse_family",
    )


def _breaking(c: Context, s: FuseStudy) -> Finding:
    """A fuse that nothing precedes and that may not break the greatest short."""
    able = [
        family.value
        for family in FuseFamily
        if fuses.breaking_a(family) >= s.fault_near_a and s.rating_a in fuses.ratings(family)
    ]
    return Finding(
        Level.FIX if able else Level.NOTE,
        "fuse-breaking",
        f"{c.name(s.id)}: {c.amps(s.fault_near_a)} are more than its fuse is listed to break",
        DEAD_SHORT + f"{shown(s.family)} is listed for {c.amps(s.breaking_a)}",
        f"a fuse of {' or '.join(able)}, which can break it"
        if able
        else "a fuse whose label names a larger interrupting rating at 32 V or less",
        BREAKING,
        "runs",
        s.id,
        "fuse_family",
    )


def _finding(
    c: Context, s: FuseStudy, level: Level, code: str, what: str, why: str, do: str
) -> Finding:
    return Finding(level, code, what, f"{why} ({s.curve})", do, METHOD, "runs", s.id, "fuse_a")
