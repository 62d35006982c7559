"""Is everything joined, does each wire carry its current, and does it fit its terminals?"""

from collections.abc import Iterator

from domain.build.choices import Polarity
from domain.build.records import table_of
from domain.checks.context import Context, named
from domain.document.records import find
from domain.electrical import conductors
from domain.electrical.network import run_conductor
from domain.electrical.network.wiring import same_way
from domain.electrical.protection.withstand import limit_c
from domain.findings import Finding, Level
from domain.reference.planning import planned
from domain.routes.lengths import to_measure
from domain.sheet import RunResult
from domain.units.gauges import gauge_text

PRACTICE = "common practice"
NONE_FITS = (
    "no gauge fits: lay two wires side by side, or one apart from other runs or in a cooler place, "
    "or use larger terminals"
)
"""What helps where the gauge is chosen already and is still too thin."""


def findings(c: Context) -> Iterator[Finding]:
    """Findings about joints, currents, gauges, drops and terminals."""
    yield from _unfed(c)
    yield from _unlaid(c)
    yield from _loops(c)
    yield from _wires(c)
    yield from _drops(c)
    yield from _unmeasured(c)


def _unfed(c: Context) -> Iterator[Finding]:
    for a in c.loads:
        if not a.feed:
            yield Finding(
                Level.STOP,
                "no-feed",
                f"{a.name} has no feed",
                "no positive run leads from a battery to it",
                "add a run to it from a block or a battery, or route an existing one there",
                PRACTICE,
                table_of(a.id),
                a.id,
                "name",
            )
        if not c.wiring.ret[a.id].battery:
            yield Finding(
                Level.STOP,
                "no-return",
                f"{a.name} has no ground path to the battery",
                "no ground run leads from it to a ground point or to the battery's negative post",
                "add a ground run from it to a ground point, and see that the battery is grounded",
                PRACTICE,
                table_of(a.id),
                a.id,
                "name",
            )


def _unlaid(c: Context) -> Iterator[Finding]:
    runs = {run.id: run for run in c.build.runs}
    for id in c.wiring.unlaid:
        run = runs[id]
        end = "source" if not find(c.build, run.source) else "target"
        missing = not (find(c.build, run.source) and find(c.build, run.target))
        side = "positive" if run.polarity is Polarity.POSITIVE else "ground"
        yield Finding(
            Level.STOP,
            "cut-path",
            f"{c.name(id)} is not joined",
            f"its {'from' if end == 'source' else 'to'} end is open"
            if missing
            else f"a {side} run cannot join {c.name(run.source)} and {c.name(run.target)}",
            "name the device at each end; ground runs end on ground points or ground blocks, "
            "positive runs on the other devices",
            PRACTICE,
            "runs",
            id,
            end,
        )
    for id in c.wiring.loose:
        yield Finding(
            Level.STOP,
            "cut-path",
            f"{c.name(id)} has no supply",
            "no battery reaches it",
            "feed it, or what feeds it, from a battery or from a block that is fed",
            PRACTICE,
            "runs",
            id,
            "source",
        )


def _loops(c: Context) -> Iterator[Finding]:
    runs = {run.id: run for run in c.build.runs}
    for id in c.wiring.loops:
        run = runs[id]
        if any(same_way(other, run) for other in c.build.runs if other.id != id):
            continue  # wires side by side, which have a finding of their own
        yield Finding(
            Level.NOTE,
            "loop",
            f"{c.name(id)} closes a loop",
            "what it leads to is fed another way already",
            "re-route or remove one of the two paths, unless the ring is intended",
            PRACTICE,
            "runs",
            id,
            "source",
        )


def _wires(c: Context) -> Iterator[Finding]:
    for run, r in c.pairs():
        if run.strands and run.strand_m:
            counted = conductors.strands_mm2(run.strands, run.strand_m)
            if counted > r.area_mm2 * planned("strand_excess"):
                yield Finding(
                    Level.FIX,
                    "wire-strands",
                    f"{r.name}: its strands cannot be {gauge_text(r.gauge)}",
                    f"{run.strands} strands of {run.strand_m * 1000:.2f} mm are {counted:.1f} mm2, "
                    f"the gauge has {r.area_mm2:.1f} mm2; the plan counts with the gauge",
                    "count and measure again, or enter the gauge that the wire is",
                    "AWG: ASTM B258; mm2: nominal section",
                    "runs",
                    run.id,
                    "strands",
                )
            if counted < r.area_mm2 * 0.9:
                yield Finding(
                    Level.FIX,
                    "wire-undersized",
                    f"{r.name}: the wire has less metal than {gauge_text(r.gauge)}",
                    f"{run.strands} strands of {run.strand_m * 1000:.2f} mm are {counted:.1f} mm2 "
                    f"of metal, the gauge has {r.area_mm2:.1f} mm2; the plan counts the metal",
                    "use wire of full section, or enter it as the gauge that its metal makes",
                    "AWG: ASTM B258; mm2: nominal section",
                    "runs",
                    run.id,
                    "strands",
                )
        if r.ambient_c >= run.insulation.celsius:
            yield Finding(
                Level.STOP,
                "insulation-heat",
                f"{r.name}: the location is too hot for its insulation",
                f"{c.show('temperature', r.ambient_c)} around {run.insulation.value} insulation "
                f"leaves nothing for the current",
                "route it through a cooler place or choose a higher insulation class",
                "33 CFR 183.425 Table 5, ambient correction",
                "runs",
                run.id,
                "insulation",
            )
        elif r.design_a > r.ampacity_a * 1.0001 and r.design_a > 0:
            # Wire of the vehicle's maker may be better than the table; at its limit it is spoilt.
            ages = r.temperature_c <= limit_c(run.insulation)
            yield Finding(
                Level.FIX if run.existing and ages else Level.STOP,
                "wire-overloaded",
                f"{r.name}: {gauge_text(r.gauge)} is too thin for its current",
                f"{c.amps(r.design_a)} at full power against {c.amps(r.ampacity_a)} after "
                f"correction for {c.show('temperature', r.ambient_c)}; it would reach "
                f"{c.show('temperature', r.temperature_c)}",
                "lay a second cable beside it or replace it"
                if run.existing
                else "choose a thicker gauge, or make it automatic again"
                if run.gauge is not None
                else NONE_FITS,
                "33 CFR 183.425 Table 5 (mm2: ISO 10133 Table A.1)",
                "runs",
                run.id,
                "gauge",
            )
        for device, limit in run_conductor.terminal_limits(c.build, run).items():
            if not conductors.fits(r.gauge, limit):
                yield Finding(
                    Level.FIX,
                    "terminal",
                    f"{r.name}: {gauge_text(r.gauge)} does not fit {c.name(device)}",
                    f"its terminal takes up to {gauge_text(limit)}",
                    "use a reducer made for it, a thinner wire with a smaller fuse, or two "
                    "terminals; check what the terminal takes",
                    PRACTICE,
                    "runs",
                    run.id,
                    "gauge",
                )


def _drops(c: Context) -> Iterator[Finding]:
    limit = c.build.header.drop_limit_v
    runs = {r.id: r for r in c.runs}
    for a in c.loads:
        if a.drop_v is None or a.drop_v <= limit * 1.0005:
            continue
        shares = sorted((runs[id] for id in a.feed_runs + a.return_runs), key=lambda r: -r.drop_v)
        worst = shares[0] if shares else None
        yield Finding(
            Level.FIX,
            "drop",
            f"{a.name}: {c.volts(a.drop_v)} lost on the way there and back",
            f"the limit is {c.volts(limit)} at {c.amps(a.design_a)}; feed "
            f"{c.volts(a.drop_feed_v or 0)}, "
            f"return {c.volts(a.drop_return_v or 0)}"
            + (f", most of it in {worst.name} ({c.volts(worst.drop_v)})" if worst else "")
            + _held_by(c, shares),
            "shorten the run, choose a thicker gauge, or allow larger wire at its terminals; "
            "else set a drop limit that the job can live with",
            "drop limit of the build; the NEC's note for the wires of feeder and branch is 5 %, "
            "0.7 V of 14 V",
            "runs" if worst else "header",
            worst.id if worst else "",
            "gauge" if worst else "drop_limit_v",
        )


def _held_by(c: Context, shares: list[RunResult]) -> str:
    """What keeps the runs with the largest drops from a thicker gauge, as the end of a sentence."""
    entered = {run.id: run for run in c.build.runs}
    held = []
    for r in shares[:2]:
        run = entered[r.id]
        stock = conductors.stock(c.build.header.wire_sizes)
        limits = run_conductor.terminal_limits(c.build, run)
        tight = [d for d, g in limits.items() if not _one_more_fits(r.gauge, g, stock)]
        if run.existing:
            held.append(f"{r.name} is the vehicle's own")
        elif run.gauge is not None:
            held.append(f"{r.name} is set by hand to {gauge_text(r.gauge)}")
        elif r.gauge == stock[-1]:
            held.append(f"{gauge_text(stock[-1])} is the thickest in stock")
        elif tight:
            held.append(f"{c.name(tight[0])} takes {gauge_text(limits[tight[0]])} at most")
    return "; " + "; ".join(held) if held else ""


def _one_more_fits(gauge: str, limit: str, stock: tuple[str, ...]) -> bool:
    """Whether the next size up of the stock still goes into a terminal."""
    thicker = [g for g in stock if conductors.area_mm2(g) > conductors.area_mm2(gauge) * 1.01]
    return bool(thicker) and conductors.fits(thicker[0], limit)


def _unmeasured(c: Context) -> Iterator[Finding]:
    """Lengths that are assumed, told once: at the first run, with what is assumed of each."""
    untold = to_measure(c.build)
    found = [(run, r) for run, r in c.pairs() if run.id in untold]
    if not found:
        return
    run, first = found[0]
    alone = len(found) == 1
    each = [f"{r.name} {c.show('length', r.length_m)}" for _, r in found]
    yield Finding(
        Level.NOTE,
        "not-measured",
        f"{first.name}: length not measured yet"
        if alone
        else f"{len(found)} lengths not measured yet",
        f"{c.show('length', first.length_m)} is assumed" if alone else f"assumed: {named(each)}",
        "lay a tape or a string along the route and enter its length"
        if alone
        else "lay a tape or a string along each route and enter its length",
        PRACTICE,
        "runs",
        run.id,
        "length_m",
    )
