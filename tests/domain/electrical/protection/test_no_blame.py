"""Where nothing is pinned the engine does not condemn what it chose itself, unless nothing fits.

Builds of every shape with all gauges and fuses left to the engine. Where one of its own choices is
to stop or to mend all the same, other choices are tried for the runs that are blamed and for the
fuses that bear on them: every gauge that their terminals take with every smaller rating that
carries the load, of several families; the thickest with the smallest first. None may be free of
blame. With ``FULL_COUNT`` in the environment more builds, larger ones, and every tenth with shorts
that several sources share.
"""

import os
from collections.abc import Iterator
from itertools import product
from random import Random

import pytest

from domain.build.choices import FuseFamily
from domain.build.records import Build
from domain.electrical import conductors, fuses
from domain.electrical.network.run_conductor import terminal_limits
from domain.evaluate import evaluate
from domain.findings import Finding, Level
from domain.sheet import Sheet
from tests.domain.electrical.protection.shaped_builds import shaped
from tests.domain.electrical.small import Change, changed

FULL = "FULL_COUNT" in os.environ
BUILDS = 300 if FULL else 48
MOST_TRIED = 400 if FULL else 25

NOT_ITS_CHOICE = {"drop", "collapse", "short-cruise", "loom-unprotected"}
"""A limit that no size meets, and what hangs on where wires and fuses are, not on their sizes."""

FAMILIES = (None, FuseFamily.BLADE_C, FuseFamily.STRIP_30, FuseFamily.CLASS_T)


def chosen(build: Build) -> set[str]:
    """Runs whose gauge the engine chooses and whose wire is still to be bought."""
    return {run.id for run in build.runs if run.gauge is None and not run.existing}


def blame(build: Build, sheet: Sheet, own: set[str]) -> list[Finding]:
    """What is to stop or to mend about runs that the engine sized.

    A fuse type that was set by hand and cannot break the short is not its choice: no size of wire
    or fuse alters what the type is listed for.
    """
    by_hand = {run.id for run in build.runs if run.fuse_family is not None}
    return [
        f
        for f in sheet.findings
        if f.level is not Level.NOTE
        and f.id in own
        and f.code not in NOT_ITS_CHOICE
        and not (f.code == "fuse-breaking" and f.field == "fuse_family" and f.id in by_hand)
    ]


def gauges(build: Build, run: str) -> list[str]:
    """Every gauge of the shelf that both terminals take."""
    record = next(each for each in build.runs if each.id == run)
    limits = terminal_limits(build, record).values()
    stock = conductors.stock(build.header.wire_sizes)
    return [g for g in stock if all(conductors.fits(g, most) for most in limits)]


def fusings(sheet: Sheet, run: str, pinned: FuseFamily | None) -> list[tuple[float, str]]:
    """Ratings of some families, or of the pinned one, that carry the load, up to what is there."""
    result = sheet.run(run)
    assert result is not None
    assert result.fuse_a is not None
    found = {(result.fuse_a, result.fuse_family)}
    for family in (pinned,) if pinned else FAMILIES:
        least = fuses.smallest(result.fuse_least_a, family)
        if least and least[0] <= result.fuse_a:
            found.add((least[0], str(least[1])))
    return sorted(found)


def other_choices(build: Build, sheet: Sheet, blamed: list[Finding]) -> Iterator[list[Change]]:
    """Every choice for the runs that are blamed, and for the fuses that let current into them."""
    runs = sorted({finding.id for finding in blamed})
    let_in = {id for s in sheet.segments if s.run in runs for id in (*s.limits, *s.fuses)}
    fused = [
        run.id
        for run in build.runs
        if (run.fused or run.far_fused)
        and run.fuse_a is None
        and (run.id in let_in or run.id in runs)
    ]
    families = {run.id: run.fuse_family for run in build.runs}
    wires = [[("gauge", g) for g in reversed(gauges(build, run))] for run in runs]
    for taken in product(*(fusings(sheet, run, families[run]) for run in fused)):
        pins: list[Change] = []
        for run, (rating, family) in zip(fused, taken, strict=True):
            pins += [("runs", run, "fuse_a", rating), ("runs", run, "fuse_family", family)]
        for sizes in product(*wires):
            each = zip(runs, sizes, strict=True)
            yield [*pins, *(("runs", run, field, gauge) for run, (field, gauge) in each)]


@pytest.mark.parametrize("first", [0, BUILDS // 2])
def test_the_engine_does_not_condemn_its_own_choice(first: int) -> None:
    blamed_builds = 0
    for seed in range(first, first + BUILDS // 2):
        build = shaped(Random(seed), most=4 if FULL else 2)
        swept = FULL and seed % 10 == 0
        sheet = evaluate(build, swept=swept)
        own = chosen(build)
        blamed = blame(build, sheet, own)
        blamed_builds += bool(blamed)
        if not blamed:
            continue
        for number, pins in enumerate(other_choices(build, sheet, blamed)):
            if number == MOST_TRIED:
                break
            other = evaluate(changed(build, *pins), swept=swept)
            assert blame(build, other, own), (seed, [(f.code, f.id) for f in blamed], pins)
    assert blamed_builds <= 0.15 * BUILDS
