"""Are the grounds clean, short, thick enough, and not crowded?"""

from collections.abc import Iterator

from domain.build.choices import Polarity, Surface
from domain.build.records import GroundPoint
from domain.checks.context import Context
from domain.document.records import find
from domain.electrical.conductors import SAME_SIZE
from domain.findings import Finding, Level
from domain.reference.planning import planned
from domain.units.gauges import gauge_text

PRACTICE = "common practice"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about ground points and ground runs."""
    points = {point.id: point for point in c.build.grounds}
    limit = planned("ground_body_limit_ohm")
    for g in c.grounds:
        point = points[g.id]
        if point.surface is Surface.PAINTED:
            yield _finding(
                Level.FIX,
                "ground-paint",
                f"{g.name} sits on paint",
                f"paint leaves 2 to 20 mohm; at {c.amps(g.design_a)} that lifts it by "
                f"{c.volts(g.rise_v)}",
                "grind to bright metal, bolt with a star washer, then seal against rust",
                PRACTICE,
                g.id,
                "surface",
            )
        elif point.resistance_ohm is not None and g.resistance_ohm > limit:
            yield _finding(
                Level.FIX,
                "ground-resistance",
                f"{g.name}: {c.show('resistance', g.resistance_ohm)} to the battery's ground",
                f"{c.show('resistance', limit)} is the most for a frame joint; at "
                f"{c.amps(g.design_a)} it raises this point by {c.volts(g.rise_v)}",
                "clean and re-make it, move it to the frame or floor pan, or run a cable to the "
                "battery's negative post",
                "AC 43.13-1B paragraph 11-188 f",
                g.id,
                "resistance_ohm",
            )
        if g.wires > planned("rings_per_stud"):
            yield _finding(
                Level.FIX,
                "ground-crowded",
                f"{g.name}: {g.wires} rings on one stud",
                f"at most {planned('rings_per_stud'):.0f} rings keep their pressure",
                "add a ground point or a ground block",
                "ABYC E-11 (from memory)",
                g.id,
                "stud",
            )
    yield from _offsets(c)
    yield from _runs(c)


def _offsets(c: Context) -> Iterator[Finding]:
    marked = next((point for point in c.build.grounds if point.signal), None)
    most = planned("ground_offset_v")
    for a in c.amplifiers:
        if marked and a.ground_offset_v is not None and abs(a.ground_offset_v) > most:
            yield Finding(
                Level.NOTE,
                "ground-offset",
                f"{a.name}: its ground lies {c.volts(a.ground_offset_v)} from the head unit's",
                f"at full power, against {c.name(marked.id)}; above {c.volts(most)} the signal "
                f"cables' shields carry the difference as noise",
                "ground both at one place, shorten the ground run, or use balanced inputs",
                PRACTICE,
                "grounds",
                marked.id,
                "signal",
            )


def _runs(c: Context) -> Iterator[Finding]:
    results = {r.id: r for r in c.runs}
    for run, r in c.pairs():
        if run.polarity is not Polarity.GROUND or run.existing or len(r.feeds) != 1:
            continue
        feed = c.wiring.feed[r.feeds[0]].runs
        power = results[feed[0]] if feed else None
        if power and len(power.feeds) == 1 and r.area_mm2 < power.area_mm2 * SAME_SIZE:
            yield Finding(
                Level.FIX,
                "ground-thin",
                f"{r.name}: thinner than its power run",
                f"{gauge_text(r.gauge)} brings back what {gauge_text(power.gauge)} brings in",
                "make it at least as thick as the power run",
                PRACTICE,
                "runs",
                run.id,
                "gauge",
            )
        body = isinstance(find(c.build, run.target), GroundPoint)
        if body and not r.length_auto and r.length_m > planned("ground_run_practice_m"):
            yield Finding(
                Level.NOTE,
                "ground-long",
                f"{r.name}: {c.show('length', r.length_m)} to the ground point",
                f"practice is {c.show('allowance', planned('ground_run_practice_m'))} or less, "
                f"on the nearest clean metal",
                "look for a nearer ground point",
                PRACTICE,
                "runs",
                run.id,
                "length_m",
            )


def _finding(
    level: Level, code: str, what: str, why: str, do: str, source: str, id: str, field: str
) -> Finding:
    return Finding(level, code, what, why, do, source, "grounds", id, field)
