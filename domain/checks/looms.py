"""Do the runs of a loom suit each other: derating, fuses, heat, thickness?"""

from collections.abc import Iterator, Mapping

from domain.build.choices import Cover
from domain.build.records import Run
from domain.cable.looms import SectionLoom
from domain.checks.context import Context
from domain.electrical.ampacity import cover_factor
from domain.electrical.bundling import conductors_in
from domain.electrical.covers import covers
from domain.electrical.protection.bounds import HAIR_M
from domain.findings import Finding, Level
from domain.routes.ways import ways
from domain.sheet import Loom, RunResult
from domain.units.gauges import gauge_text
from domain.units.show import format_quantity

PRACTICE = "common practice"

_Pair = tuple[Run, RunResult]


def findings(c: Context) -> Iterator[Finding]:
    """Findings about runs that lie together, and about bundles typed smaller than their loom."""
    yield from _laid_open(c)
    if not c.looms and not any(run.loom for run in c.build.runs):
        return
    yield from _bundles(c)
    pairs = {run.id: (run, result) for run, result in c.pairs()}
    yield from _in_sections(c, pairs)
    for loom in c.looms:
        own = [pairs[id] for id in loom.runs]
        if isinstance(loom, SectionLoom):
            continue
        if len(own) == 1:
            yield _alone(c, loom)
            continue
        for run, result in own:
            yield from _unprotected(c, loom, run, result)
            yield from _heat(c, loom, run, [each for each in own if each[0].id != run.id])
        yield from _zones(c, loom, own)
        yield from _large(c, loom)


def _in_sections(c: Context, pairs: Mapping[str, _Pair]) -> Iterator[Finding]:
    """The same of bundles in sections: of each run once, however many sections it takes."""
    hot: set[str] = set()
    going = ways(c.build)
    for loom in c.looms:
        if not isinstance(loom, SectionLoom):
            continue
        own = [pairs[id] for id in loom.runs]
        for run, result in own if len(own) > 1 else ():
            if loom.section == going[run.id].sections[0].id:
                yield from _unprotected(c, loom, run, result)
            if run.id not in hot:
                others = [each for each in own if each[0].id != run.id]
                found = list(_heat(c, loom, run, others))
                hot |= {each.id for each in found}
                yield from found
        yield from _large(c, loom)


def _laid_open(c: Context) -> Iterator[Finding]:
    """Runs that would be too thin in tube, so that the plan lays them without."""
    laid = covers(c.build).of
    for run, r in c.pairs():
        if r.cover != Cover.OPEN or laid.get(run.id) is not Cover.TUBE:
            continue
        yield Finding(
            Level.NOTE,
            "laid-open",
            f"{r.name} lies without tube",
            f"in tube {gauge_text(r.gauge)} would carry "
            f"{c.amps(r.ampacity_a * cover_factor(Cover.TUBE))}, in the open {c.amps(r.ampacity_a)}"
            + (f"; its fuse is {c.amps(r.fuse_a)}" if r.fuse_a else ""),
            "clamp it clear of edges and heat; or lay two wires, or take a terminal that holds a "
            "thicker one, and give it tube",
            "BS 7671 Table 4D1A, in conduit over free air",
            "runs",
            run.id,
            "cover",
        )


def _bundles(c: Context) -> Iterator[Finding]:
    together = conductors_in(c.build.runs)
    for run, result in c.pairs():
        count = together.get(run.id, 1)
        if run.bundle is not None and run.bundle < count:
            yield Finding(
                Level.FIX,
                "bundle-low",
                f"{result.name}: {count} conductors lie in its harness, not {run.bundle}",
                f"its wire and fuse are chosen for {run.bundle} lying together; the others warm it "
                "too",
                "leave its bundle to the harness, or take it out of the harness",
                "ABYC E-11, bundles (from memory)",
                "runs",
                run.id,
                "bundle",
            )


def _alone(c: Context, loom: Loom) -> Finding:
    words = (each for each in c.looms if not isinstance(each, SectionLoom))
    others = [each.name for each in words if each.id != loom.id]
    return Finding(
        Level.NOTE,
        "loom-alone",
        f"{c.name(loom.runs[0])} lies alone in the harness {loom.name}",
        "no other run has this word"
        + (f"; the other harnesses are {', '.join(others[:6])}" if others else ""),
        "give the same word to the runs that lie with it",
        PRACTICE,
        "runs",
        loom.runs[0],
        "loom",
    )


def _unprotected(c: Context, loom: Loom, run: Run, r: RunResult) -> Iterator[Finding]:
    """Wire ahead of the first fuse burns what lies beside it."""
    bare = r.unprotected_m or 0.0
    if bare <= HAIR_M:
        return
    never = r.protected_a is None
    yield Finding(
        Level.FIX if never else Level.NOTE,
        "loom-unprotected",
        f"{r.name} lies in the harness {loom.name} with no fuse ahead of it"
        if never
        else f"{r.name}: {c.show('length', bare)} before its fuse, in the harness {loom.name}",
        "nothing opens on a short there, and it burns the wires that lie with it",
        "lay it by itself, or put a fuse at the battery"
        if never
        else "lay that much by itself, in a tube of its own; it joins the harness behind the fuse",
        PRACTICE,
        "runs",
        run.id,
        "loom",
    )


def _heat(c: Context, loom: Loom, run: Run, others: list[_Pair]) -> Iterator[Finding]:
    """Insulation beside a wire that gets warmer than it stands."""
    _, hot = max(others, key=lambda pair: pair[1].temperature_c)
    if hot.temperature_c > run.insulation.celsius:
        yield Finding(
            Level.FIX,
            "loom-heat",
            f"{c.name(run.id)}: {hot.name} beside it gets too hot for its insulation",
            f"{c.show('temperature', hot.temperature_c)} at full power against "
            f"{run.insulation.value} insulation, in the harness {loom.name}",
            "lay one of the two elsewhere, or choose a higher insulation class",
            "NFPA 70 310.14(A)(3), adjacent conductors (from memory)",
            "runs",
            run.id,
            "insulation",
        )


def _zones(c: Context, loom: Loom, own: list[_Pair]) -> Iterator[Finding]:
    """Runs between the same zones take the loom's way, and so pass the same hottest place."""
    zones = {zone.id: zone.name or zone.id for zone in c.build.zones}
    places = {
        device.id: device.zone
        for table in (
            *(c.build.batteries, c.build.amplifiers, c.build.appliances),
            *(c.build.blocks, c.build.grounds),
        )
        for device in table
    }
    ways: dict[frozenset[str], list[_Pair]] = {}
    for run, result in own:
        ends = frozenset(places.get(end, "") for end in (run.source, run.target))
        if "" not in ends:
            ways.setdefault(ends, []).append((run, result))
    for same in ways.values():
        hot, hottest = max(same, key=lambda pair: pair[1].ambient_c)
        for run, result in same:
            if result.ambient_c < hottest.ambient_c:
                yield Finding(
                    Level.NOTE,
                    "loom-zones",
                    f"{result.name}: {hottest.name} in its harness passes a hotter place",
                    f"both go between the same locations in the harness {loom.name}; that one "
                    f"passes {zones.get(hot.zone, 'a place without a location')} at "
                    f"{c.show('temperature', hottest.ambient_c)}, this one is planned for "
                    f"{c.show('temperature', result.ambient_c)}",
                    "give both the hottest location that the harness passes",
                    PRACTICE,
                    "runs",
                    run.id,
                    "zone",
                )


def _large(c: Context, loom: Loom) -> Iterator[Finding]:
    first = loom.stretches[0] if loom.stretches else None
    if loom.sleeved and first and not first.tube:
        size = format_quantity("small_length", first.bundle_m, c.build.header.units)
        cables = sum(run.count for run in c.build.runs if run.id in first.runs)
        yield Finding(
            Level.NOTE,
            "loom-large",
            f"No tube in the table takes the harness {loom.name}",
            f"its {cables} cables are {size} across together",
            "part it into two harnesses, or wrap it",
            "tube bores: typical sizes, filled to 75 % (common practice)",
            "runs",
            loom.runs[0],
            "loom",
        )
