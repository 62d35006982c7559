"""Does every fuse carry its load, and is it one that is made?"""

from collections.abc import Iterator

from domain.build.choices import FuseFamily, Polarity, Resets, shown
from domain.build.records import Run
from domain.checks.context import Context, named
from domain.electrical import fuses
from domain.findings import Finding, Level
from domain.sheet import RunResult


def findings(c: Context) -> Iterator[Finding]:
    """Findings about fuses: too small for the load, not made, in a ground run, on the unit."""
    for run, r in c.pairs():
        if run.polarity is Polarity.GROUND and (run.fused or run.far_fused):
            yield _fused_ground(c, run, r)
        if r.fuse_a is not None:
            yield from _rating(c, run, r, r.fuse_a)
            if r.fuse_family == FuseFamily.BREAKER.value and run.resets is Resets.ITSELF:
                yield _closes_again(run, r)
    yield from _onboard(c)


def _rating(c: Context, run: Run, r: RunResult, fuse_a: float) -> Iterator[Finding]:
    family = FuseFamily(r.fuse_family)
    series = fuses.ratings(family)
    if fuse_a < r.fuse_least_a * (1 - 1e-9):
        largest = r.fuse_auto and r.fuse_least_a > series[-1]
        yield Finding(
            Level.STOP if largest else Level.FIX,
            "fuse-small",
            f"{r.name}: no {shown(family)} fuse is large enough"
            if largest
            else f"{r.name}: its {c.amps(fuse_a)} fuse will open in use",
            f"it needs {c.amps(r.fuse_least_a)}: up to {c.amps(_most_a(c, run))} flow at full "
            f"power, {c.amps(r.programme_a)} at the average level"
            + (", in each wire" if run.count > 1 else "")
            + (f"; that type ends at {c.amps(series[-1])}" if largest else ""),
            "split the load over two runs, or choose a type with larger ratings"
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
            f"{r.name}: there is no {c.amps(fuse_a)} among {shown(family)} fuses",
            "they come in " + ", ".join(f"{rating:g}" for rating in series) + " A",
            "choose one of these or another type",
            "ISO 8820 series (from memory)",
            "runs",
            run.id,
            "fuse_a",
        )


def _most_a(c: Context, run: Run) -> float:
    """The most that one wire of a run carries in any solved state [A]."""
    solved = (abs(state.current_a[run.id]) for state in c.states if state.converged)
    return max(solved, default=0.0) / run.count


def _closes_again(run: Run, r: RunResult) -> Finding:
    return Finding(
        Level.FIX,
        "breaker-resets",
        f"{r.name}: its breaker closes by itself",
        "into a short that is still there it closes again and again: each time the wire is heated "
        "before it has cooled, and its contacts wear until they weld",
        "a breaker that is reset by hand (type 3), and only after the fault is found",
        "SAE J553, types; ABYC E-11 allows boats only such as are reset by hand (from memory)",
        "runs",
        run.id,
        "resets",
    )


def _fused_ground(c: Context, run: Run, r: RunResult) -> Finding:
    """It guards the ground cable and nothing else, and what it lets happen is worse."""
    of = {each[:1] for each in (run.source, run.target)}
    open_then = "the gear keeps its voltage and looks for another ground path: its signal cables"
    if "b" in of:
        open_then = (
            "the car runs without its battery: with the engine running the alternator's voltage "
            "jumps, and what it feeds finds other ground paths"
        )
    elif "g" in of:
        open_then = "all that the alternator gives comes back through bearings and control cables"
    limit = f" ({c.amps(r.fuse_a)} for good)" if r.fuse_a is not None else ""
    return Finding(
        Level.FIX,
        "fused-ground",
        f"{r.name}: a fuse in a ground run",
        f"when it opens, {open_then}. It protects its own cable alone{limit}, not the plus side, "
        "and not even that once the cable is rubbed to the body, which goes round it",
        "take the fuse out of the ground side and protect the positive side",
        "common practice",
        "runs",
        run.id,
        "fused" if run.fused else "far_fused",
    )


def _onboard(c: Context) -> Iterator[Finding]:
    unknown = [
        a for e, a in zip(c.build.amplifiers, c.amplifiers, strict=True) if e.onboard_fuse_a is None
    ]
    if unknown:
        first = unknown[0]
        alone = len(unknown) == 1
        yield Finding(
            Level.NOTE,
            "onboard-unknown",
            f"{first.name}: on-board fuses not entered"
            if alone
            else f"{len(unknown)} amplifiers: on-board fuses not entered",
            f"{c.amps(first.design_a)} at full power is taken from its power and efficiency"
            if alone
            else "taken from power and efficiency: "
            + named([f"{a.name} {c.amps(a.design_a)}" for a in unknown]),
            "add up the fuses on the unit and enter the sum: it never draws more for long",
            "common practice",
            "amplifiers",
            first.id,
            "onboard_fuse_a",
        )
    for entered, a in zip(c.build.amplifiers, c.amplifiers, strict=True):
        if entered.onboard_fuse_a is not None and a.design_a >= entered.onboard_fuse_a * 0.9999:
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
