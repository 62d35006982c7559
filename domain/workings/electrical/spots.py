"""Workings of the fuse spots."""

from domain.build.choices import Reach
from domain.build.records import Spot
from domain.document.records import find
from domain.electrical import spots
from domain.reference.planning import planned
from domain.sheet import SpotResult
from domain.workings.cited import ENTERED, PRACTICE, cite, plan, plan_source
from domain.workings.context import Context
from domain.workings.makers import Makers
from domain.workings.working import Input, Working


def _spot(c: Context, id: str) -> Spot:
    found = find(c.build, id)
    assert isinstance(found, Spot)
    return found


def wire_m(c: Context, r: SpotResult, _: str) -> Working:
    """Wire of the run with the fuse here."""
    spot, run = _spot(c, r.id), c.sheet.run(r.run)
    onward = spots.onward_m(spot, run)
    inputs = [Input("a", "from the feeding end to here", spot.feed_m, "m")]
    if spot.onward_m is None:
        length = run.length_m if run else 0.0
        inputs.append(Input("L", "length of the run", length, "m"))
        formula = "wire = a + max(L - a, 0)"
    else:
        inputs.append(Input("b", "from here to the far end", spot.onward_m, "m"))
        formula = "wire = a + b"
    return Working(
        "Wire of the run with the fuse here",
        formula,
        tuple(inputs),
        (),
        spot.feed_m + onward,
        "m",
        ENTERED,
    )


def heat_margin_c(c: Context, r: SpotResult, _: str) -> Working:
    """What the holder has left."""
    spot = _spot(c, r.id)
    zone = next((z for z in c.build.zones if z.id == spot.zone), None)
    air = zone.ambient_c if zone else 50.0
    said = f"location {zone.name or zone.id}" if zone else "no location: engine space of the table"
    most = plan("T_max", "holder_max_c")
    return Working(
        "Heat margin of the holder",
        "T_max - T_air",
        (most, Input("T_air", said, air, "C")),
        (),
        planned("holder_max_c") - air,
        "K",
        cite(plan_source("holder_max_c"), ENTERED),
    )


def rank(c: Context, r: SpotResult, _: str) -> Working:
    """Place among the spots of the same run."""
    zones = {zone.id: zone.ambient_c for zone in c.build.zones}
    order = {spot.id: i for i, spot in enumerate(_ordered(c, r.run, zones), 1)}
    spot = _spot(c, r.id)
    return Working(
        "Rank among the spots of this run",
        "not ruled out; less wire ahead of the fuse; more heat margin; nothing blocked; reach",
        (
            Input("hazard", "rules it out", spot.hazard.value),
            Input("a", "wire ahead of the fuse", spot.feed_m, "m"),
            Input("margin", "heat margin", spots.heat_margin_c(spot, zones), "K"),
            Input("blocks", "in the way of something", "yes" if spot.blocks else "no"),
            Input("reach", "for service", spot.reach.value),
        ),
        (r.why,),
        order[r.id],
        "-",
        PRACTICE,
    )


def _ordered(c: Context, run: str, zones: dict[str, float]) -> list[Spot]:
    reaches = list(Reach)
    return sorted(
        (spot for spot in c.build.spots if spot.run == run),
        key=lambda s: (
            s.hazard.value != "none",
            s.feed_m,
            -spots.heat_margin_c(s, zones),
            s.blocks,
            reaches.index(s.reach),
        ),
    )


WORKINGS: Makers = {"spot_result": {"wire_m": wire_m, "heat_margin_c": heat_margin_c, "rank": rank}}
