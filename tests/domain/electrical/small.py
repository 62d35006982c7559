"""Small builds to change one thing on, and what to do with them."""

from domain.build import actions
from domain.build.edits import Scalar, SetField
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.findings import Finding

Change = tuple[str, str, str, Scalar]
"""Table, id, field and its new value."""


def changed(build: Build, *changes: Change) -> Build:
    """The build with these fields set."""
    edits = [SetField(table=t, id=id, field=field, value=value) for t, id, field, value in changes]
    return actions.applied(build, *edits)


def small_build() -> Build:
    """One measured amplifier on the main block: nothing to stop or to fix.

    r4 is the main run, r5 the branch of a1, r6 its ground run.
    """
    build = start_build()
    build = actions.applied(build, actions.add(build, "amplifiers", onboard_fuse_a=80.0))
    return changed(
        build,
        ("runs", "r4", "length_m", 4.5),
        ("runs", "r5", "length_m", 0.8),
        ("runs", "r6", "length_m", 0.4),
    )


def found(build: Build, code: str) -> list[Finding]:
    """The findings of one code."""
    return [finding for finding in evaluate(build).findings if finding.code == code]
