"""Workings of the ground points."""

from domain.build.choices import Polarity
from domain.build.records import GroundPoint
from domain.document.records import find
from domain.electrical.network import run_conductor, system
from domain.sheet import GroundResult
from domain.workings.cited import ENTERED, LAWS, PRACTICE, cite, plan, plan_source
from domain.workings.context import Context
from domain.workings.makers import Makers
from domain.workings.working import Input, Working


def _point(c: Context, id: str) -> GroundPoint:
    found = find(c.build, id)
    assert isinstance(found, GroundPoint)
    return found


def wires(c: Context, r: GroundResult, _: str) -> Working:
    """How many ground wires meet there."""
    here = [
        run
        for run in c.build.runs
        if run.polarity is Polarity.GROUND and r.id in (run.source, run.target)
    ]
    inputs = tuple(Input(run.id, f"from {run.source} to {run.target}", run.count) for run in here)
    total = sum(run.count for run in here)
    return Working("Wires on this point", "their sum", inputs, (), total, "-", PRACTICE)


def resistance_ohm(c: Context, r: GroundResult, _: str) -> Working:
    """Body path from the point to the star point."""
    point, title = _point(c, r.id), "Body path to the battery's ground"
    value = system.body_ohm(point)
    if point.resistance_ohm is not None:
        given = Input("R", "measured", point.resistance_ohm, "ohm")
        return Working(title, "R as measured", (given,), (), value, "ohm", ENTERED)
    name = f"body_ohm_{point.surface.value}"
    inputs = (Input("surface", "how it is prepared", point.surface.value), plan("R", name))
    formula = "R typical for the surface, until it is measured"
    return Working(title, formula, inputs, (), value, "ohm", plan_source(name))


def rise_v(c: Context, r: GroundResult, _: str) -> Working:
    """How far the point lifts."""
    solved = c.design("tone")
    return Working(
        "Rise over the star point of the body, full power",
        "V = sum of J / sum of G over all that meets there (Kirchhoff)",
        solved.inputs(r.id),
        (solved.balance(r.id),),
        solved.balanced_v(r.id),
        "V",
        cite(LAWS, plan_source("design_v")),
    )


def design_a(c: Context, r: GroundResult, _: str) -> Working:
    """What returns through the point."""
    ohm = max(system.body_ohm(_point(c, r.id)), run_conductor.LEAST_OHM)
    rise = c.sized.volts[r.id]
    return Working(
        "Current through this point, full power",
        "I = |V| / R",
        (Input("V", "rise of the point", rise, "V"), Input("R", "body path", ohm, "ohm")),
        (c.design("tone").balance(r.id),),
        abs(rise) / ohm,
        "A",
        LAWS,
    )


WORKINGS: Makers = {
    "ground_result": {
        "wires": wires,
        "resistance_ohm": resistance_ohm,
        "rise_v": rise_v,
        "design_a": design_a,
    }
}
