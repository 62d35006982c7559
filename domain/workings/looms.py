"""Workings of the looms: conductors that lie together, bundles, stretches and tubes."""

from math import inf, sqrt

from domain.cable.bundles import BundleSize, bundle_size, ratio
from domain.cable.fittings import LOOM_FILL, outside_diameter_mm
from domain.cable.looms import SectionLoom
from domain.document.records import label
from domain.electrical.bundling import conductors_in
from domain.routes.ways import section_m, ways
from domain.sheet import Loom, LoomStretch, RunResult
from domain.workings.cited import ENTERED, PRACTICE, cite
from domain.workings.context import Context
from domain.workings.makers import Makers
from domain.workings.working import NONE, Input, Working

BUNDLES = ("FEKETE2019", "KRAVITZ1967")
"""Sources of the diameter of a bundle."""


def explained(size: BundleSize) -> str:
    """How a bundle's diameter [mm] comes about, in a line."""
    ways = [(size.by_area, "by area"), (size.by_count, "all as the thickest"), (size.laid, "laid")]
    listed = ", ".join(f"{mm:.1f} {way}" for mm, way in ways if mm < inf)
    return f"{size.diameter:.1f} mm across: the least of {listed}"


def bundle(c: Context, r: RunResult, _: str) -> Working:
    """Loaded conductors that lie together."""
    run, title = c.runs[r.id], "Loaded conductors together"
    if run.bundle is not None:
        given = Input("n", "entered", run.bundle)
        return Working(title, "n as entered", (given,), (), run.bundle, NONE, ENTERED)
    if section := c.items[r.id].section:
        counted = Input("n", f"wires in {label(c.build, section)}, its worst section", r.bundle)
        said = "new and existing, feeds and returns, of one harness word: all of them warm it"
        return Working(title, "n of that section", (counted,), (said,), r.bundle, NONE, PRACTICE)
    together = conductors_in(c.build.runs).get(run.id, run.count)
    word = run.loom.strip()
    alone = "its own wires; it lies in no harness"
    counted = Input("n", f"wires in the harness {word}" if word else alone, together)
    steps = ("new and existing, feeds and returns: all of them warm it",) if together > 1 else ()
    return Working(title, "n of its harness", (counted,), steps, together, NONE, PRACTICE)


def bundle_m(c: Context, s: LoomStretch, _: str) -> Working:
    """Diameter of the bundle in a stretch."""
    runs = [run for run in c.sheet.runs for _ in range(_wires(c, s, run))]
    title, size = (
        "Diameter of the bundle",
        bundle_size(tuple(outside_diameter_mm(run.area_mm2) for run in runs)),
    )
    each_m = [outside_diameter_mm(run.area_mm2) / 1000 for run in runs]
    inputs = [Input(f"d {r.id}", r.gauge, d, "m") for r, d in zip(runs, each_m, strict=True)]
    if len(runs) == 1:
        return Working(title, "D = d", tuple(inputs), (), each_m[0], "m", "TYP")
    formula = "D = the least of sqrt(2 sum d^2)"
    steps = [f"sqrt(2 sum d^2) = {sqrt(2 * sum(d * d for d in each_m)):.6g} m is always enough"]
    most = ratio(len(runs))
    if most:
        inputs.append(Input("k_n", f"{len(runs)} equal circles in a circle", most))
        formula += ", k_n d_max"
        steps.append(f"k_n d_max = {most * max(each_m):.6g} m")
    if size.laid < inf:
        said = "cables laid one against the other, the thickest first"
        inputs.append(Input("D_l", said, size.laid / 1000, "m"))
        formula += ", D_l"
    return Working(
        title,
        formula,
        tuple(inputs),
        tuple(steps),
        size.diameter / 1000,
        "m",
        cite(*BUNDLES, "TYP"),
    )


def over_m(c: Context, s: LoomStretch, _: str) -> Working:
    """Diameter over the tube of a stretch."""
    given = Input("D", "diameter of the bundle", s.bundle_m, "m")
    title = "Diameter over the harness"
    if not s.tube:
        return Working(title, "D, without a tube", (given,), (), s.bundle_m, "m", PRACTICE)
    inputs = (
        given,
        Input("f", "share of the bore that may be filled", LOOM_FILL),
        Input("o", f"outside of the {s.tube} tube", s.over_m, "m"),
    )
    formula = "o of the smallest tube with D^2 <= f bore^2"
    return Working(title, formula, inputs, (), s.over_m, "m", cite("TYP", PRACTICE))


def _wires(c: Context, s: LoomStretch, run: RunResult) -> int:
    """Wires of a run in a stretch: in a section that its way takes twice, twice as many."""
    loom = _loom_of(c, s)
    if run.id not in s.runs or not isinstance(loom, SectionLoom):
        return run.count if run.id in s.runs else 0
    way = ways(c.build)[run.id]
    return run.count * sum(section.id == loom.section for section in way.sections)


def _loom_of(c: Context, s: LoomStretch) -> Loom:
    return next(loom for loom in c.sheet.looms if s in loom.stretches)


def _ends(c: Context, s: LoomStretch) -> tuple[dict[str, float], dict[str, float]]:
    """Wire [m] of the runs in a stretch, and of those of its loom that have left before it."""
    loom = _loom_of(c, s)
    wires = {run.id: run.wire_m for run in c.sheet.runs if run.id in loom.runs}
    inside = {id: wire for id, wire in wires.items() if id in s.runs}
    return inside, {id: wire for id, wire in wires.items() if id not in inside}


def start_m(c: Context, s: LoomStretch, key: str) -> Working:
    """Where a stretch begins."""
    _, left = _ends(c, s)
    inputs = tuple(Input(f"L {id}", "left before", wire, "m") for id, wire in left.items())
    formula = "the longest wire that left before" if left else "where all of them begin"
    steps = () if left else ("nothing has left yet",)
    value = max(left.values(), default=0.0)
    return Working("Where the stretch begins", formula, inputs, steps, value, "m", PRACTICE)


def end_m(c: Context, s: LoomStretch, key: str) -> Working:
    """Where a stretch ends."""
    loom = _loom_of(c, s)
    if isinstance(loom, SectionLoom):
        return _section_end(c, s, loom)
    inside, _ = _ends(c, s)
    inputs = tuple(Input(f"L {id}", "lies in it", wire, "m") for id, wire in inside.items())
    formula, value = "the shortest wire in it", min(inside.values())
    return Working("Where the stretch ends", formula, inputs, (), value, "m", PRACTICE)


def _section_end(c: Context, s: LoomStretch, loom: SectionLoom) -> Working:
    """A section with the slack of the run that has most of it for its length."""
    section = next(each for each in c.build.sections if each.id == loom.section)
    runs = [run for run in c.sheet.runs if run.id in s.runs]
    most = max(runs, key=lambda run: run.wire_m / run.length_m)
    long = section_m(section, c.build.header.units)
    inputs = (
        Input("L", f"length of {label(c.build, section.id)}", long, "m"),
        Input("w", f"wire of {most.name}, with slack", most.wire_m, "m"),
        Input("r", "its route", most.length_m, "m"),
    )
    value = long * (most.wire_m / most.length_m)
    return Working("Where the stretch ends", "L w / r", inputs, (), value, "m", PRACTICE)


WORKINGS: Makers = {
    "run_result": {"bundle": bundle},
    "loom_stretch": {
        "start_m": start_m,
        "end_m": end_m,
        "bundle_m": bundle_m,
        "over_m": over_m,
    },
}
