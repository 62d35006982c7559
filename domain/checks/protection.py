"""Is every wire guarded by a fuse that it can carry, close enough to the battery?"""

from collections.abc import Iterator

from domain.build.choices import FuseFamily, Polarity
from domain.build.records import Run
from domain.checks.context import Context
from domain.electrical import fuses
from domain.findings import Finding, Level
from domain.reference.planning import planned
from domain.sheet import RunResult
from domain.units.gauges import gauge_text

HAIR_M = 0.0005
"""A length is over a limit when it is by more than a tape can tell [m]."""

RULE = "33 CFR 183.455; the fuse protects the wire"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about fuses: missing, too large for the wire, too small for the load, too far."""
    for run, r in c.pairs():
        if run.polarity is Polarity.GROUND:
            if run.fused or run.far_fused:
                yield _fused_ground(run, r)
        else:
            yield from _guard(c, run, r)
        if r.fuse_a is not None:
            yield from _rating(c, run, r, r.fuse_a)
    yield from _onboard(c)


def _guard(c: Context, run: Run, r: RunResult) -> Iterator[Finding]:
    if r.unprotected_m is None or (run.existing and not r.feeds):
        return  # the vehicle's own cables that feed none of the amplifiers are its maker's matter
    if r.protected_a is None:
        between = run.source.startswith("b") and run.target.startswith("b")
        yield Finding(
            Level.STOP,
            "no-fuse",
            f"{r.name}: no fuse guards this wire",
            f"{c.show('length', r.unprotected_m)} of {gauge_text(r.gauge)} are fed from a "
            "battery with nothing that opens on a short",
            "fuse both ends: either battery can feed a short"
            if between
            else "put a fuse at the end that a battery feeds, as close to it as it will go",
            RULE,
            "runs",
            run.id,
            "far_fused" if run.fused else "fused",
        )
        return
    if r.protected_a > r.ampacity_a * 1.0001:
        share = r.protected_a / r.ampacity_a if r.ampacity_a else 0.0
        own = run.fused or run.far_fused
        smaller = _smaller(run, r)
        yardstick = planned("overcurrent_fraction")
        burns = not share or share > yardstick
        yield Finding(
            Level.STOP if burns else Level.FIX,
            "fuse-over-wire",
            f"{r.name}: a {c.amps(r.protected_a)} fuse does not protect {gauge_text(r.gauge)}",
            f"the wire carries {c.amps(r.ampacity_a)} here"
            + (f", the fuse is {share:.0%} of that" if share else "")
            + f" (33 CFR 183.455 would stop at {yardstick:.0%}); "
            + ("the wire would burn first" if burns else "the wire gets too hot before it opens"),
            f"fit a {c.amps(smaller)} fuse, which carries the load, or leave the fuse to be chosen"
            if smaller
            else "its terminals take no thicker wire: split the load over two runs, or use a block "
            "or terminal that takes more"
            + (", or lay it apart from its loom" if r.bundle > 1 and r.bundle_auto else "")
            if r.gauge_auto
            else "choose a smaller fuse or a thicker wire"
            if own
            else "put a fuse where the wire gets thinner, or make it as thick as the fuse upstream "
            "needs",
            RULE,
            "runs",
            run.id,
            "fuse_a" if own and run.fuse_a is not None else "gauge",
        )
    if r.unprotected_m > planned("unprotected_shop_m") + HAIR_M:
        shop, bare, sheathed, longest = (
            planned(f"unprotected_{kind}_m") for kind in ("shop", "bare", "sheathed", "battery")
        )
        yield Finding(
            Level.STOP if r.unprotected_m > longest else Level.FIX,
            "fuse-far",
            f"{r.name}: {c.show('length', r.unprotected_m)} of wire before its fuse",
            f"nothing protects that length; practice is {c.show('allowance', shop)} "
            f"at most, 33 CFR 183.455 has {c.show('allowance', bare)} bare and "
            f"{c.show('allowance', sheathed)} in a sheath",
            "move the fuse holder towards the battery",
            f"common practice; 33 CFR 183.455; ABYC E-11 ({c.show('allowance', longest)}, from "
            f"memory)",
            "runs",
            run.id,
            "fuse_distance_m" if run.fused else "far_fuse_distance_m",
        )


def _smaller(run: Run, r: RunResult) -> float | None:
    """A standard rating that would carry the load and spare the wire, for a pinned fuse [A]."""
    if run.fuse_a is None:
        return None
    found = fuses.smallest(r.fuse_least_a, run.fuse_family)
    return found[0] if found and found[0] <= min(r.ampacity_a, run.fuse_a * 0.999) else None


def _rating(c: Context, run: Run, r: RunResult, fuse_a: float) -> Iterator[Finding]:
    family = FuseFamily(r.fuse_family)
    series = fuses.ratings(family)
    if fuse_a < r.fuse_least_a * (1 - 1e-9):
        largest = r.fuse_auto and r.fuse_least_a > series[-1]
        yield Finding(
            Level.STOP if largest else Level.FIX,
            "fuse-small",
            f"{r.name}: no {family.value} fuse is large enough"
            if largest
            else f"{r.name}: its {c.amps(fuse_a)} fuse will open in use",
            f"it needs {c.amps(r.fuse_least_a)}: up to {c.amps(_most_a(c, run.id))} flow at full "
            f"tone, {c.amps(r.programme_a)} at programme level"
            + (f"; the family ends at {c.amps(series[-1])}" if largest else ""),
            "split the load over two runs, or choose a family with larger ratings"
            if largest
            else "choose a larger fuse and a wire that carries it, or take load off the run",
            "fuse links run continuously at no more than about 80 % of rating, less in heat; "
            "common practice",
            "runs",
            run.id,
            "fuse_family" if largest else "fuse_a",
        )
    if fuse_a not in series:
        yield Finding(
            Level.FIX,
            "fuse-series",
            f"{r.name}: there is no {c.amps(fuse_a)} in {family.value}",
            "the family comes in " + ", ".join(f"{rating:g}" for rating in series) + " A",
            "choose a rating of the series or another family",
            "ISO 8820 series (from memory)",
            "runs",
            run.id,
            "fuse_a",
        )


def _most_a(c: Context, id: str) -> float:
    """The most that a run carries in any solved state [A]."""
    return max((abs(state.current_a[id]) for state in c.states if state.converged), default=0.0)


def _fused_ground(run: Run, r: RunResult) -> Finding:
    return Finding(
        Level.FIX,
        "fused-ground",
        f"{r.name}: a fuse in a ground run",
        "when it opens, the gear stays live and looks for another way back, such as its signal "
        "cables",
        "take the fuse out of the ground side and protect the positive side",
        "common practice",
        "runs",
        run.id,
        "fused",
    )


def _onboard(c: Context) -> Iterator[Finding]:
    for entered, a in zip(c.build.amplifiers, c.amplifiers, strict=True):
        if entered.onboard_fuse_a is None:
            yield Finding(
                Level.NOTE,
                "onboard-unknown",
                f"{a.name}: on-board fuses not entered",
                f"{c.amps(a.design_a)} at full tone is taken from its power and efficiency",
                "add up the fuses on the unit and enter the sum: it never draws more for long",
                "common practice",
                "amplifiers",
                a.id,
                "onboard_fuse_a",
            )
        elif a.design_a >= entered.onboard_fuse_a * 0.9999:
            yield Finding(
                Level.NOTE,
                "onboard-limit",
                f"{a.name}: its own fuses limit it",
                f"its rated power would draw more than the {c.amps(entered.onboard_fuse_a)} on the "
                "unit; the plan uses those",
                "check its rated power, efficiency and fuses",
                "common practice",
                "amplifiers",
                a.id,
                "onboard_fuse_a",
            )
