"""Workings of predicted meter readings."""

from domain.build.records import Build
from domain.electrical.meter.probes import Kind, Places, Probes
from domain.electrical.meter.readings import JudgedReading, PredictedReading, _lost_v
from domain.reference.planning import planned
from domain.sheet import Sheet
from domain.workings.cited import LAWS, cite, plan, plan_source
from domain.workings.working import Input, Working

Predicted = PredictedReading | JudgedReading


def _probes(build: Build, reading: Predicted) -> Probes:
    where = Places(build).probes(reading.at, reading.meter)
    if isinstance(where, str):
        raise LookupError(where)
    return where


def _nodes(build: Build, sheet: Sheet, reading: Predicted) -> tuple[Probes, Input, Input]:
    where = _probes(build, reading)
    state = sheet.state(reading.mode.value)
    if state is None:
        raise LookupError(f"the sheet has no state {reading.mode.value}")
    red, black = (state.node_v.get(node, 0.0) for node in (where.red, where.black))
    return (
        where,
        Input("V_r", f"red probe, node {where.red}, {state.title}", red, "V"),
        Input("V_b", f"black probe, node {where.black}", black, "V"),
    )


def predicted_v(build: Build, sheet: Sheet, reading: Predicted) -> Working:
    """What the meter should show; ``LookupError`` where nothing can be predicted."""
    where, red, black = _nodes(build, sheet, reading)
    drop = where.kind is Kind.DROP
    value = where.shown(float(red.value) - float(black.value))
    return Working(
        "Predicted reading",
        "U = |V_r - V_b|" if drop else "U = V_r - V_b",
        (red, black),
        ("how node voltages are calculated stands with them",),
        value,
        "V",
        LAWS,
    )


def tolerance_v(build: Build, sheet: Sheet, reading: Predicted) -> Working:
    """How far the reading may be off; ``LookupError`` where nothing can be predicted."""
    where, red, black = _nodes(build, sheet, reading)
    state = sheet.state(reading.mode.value)
    assert state is not None
    volts = where.shown(float(red.value) - float(black.value))
    spread = f"reading_spread_{reading.mode.value.partition('-')[2]}"
    places = Places(build)
    names = ["reading_fraction", "reading_least_v", spread]
    inputs = [
        Input("U", "predicted", volts, "V"),
        plan("m", "reading_fraction"),
        plan("d", "reading_least_v"),
        plan("f", spread),
    ]
    lost, formula, source = abs(volts), "m |U| + d + f U_l", 0.0
    if where.kind is Kind.SUPPLY:
        names.append("reading_source_v")
        inputs.append(plan("s", "reading_source_v"))
        lost = _lost_v(places, state, places.home(reading.at), volts)
        formula, source = "m |U| + d + s + f U_l", planned("reading_source_v")
    elif where.kind is Kind.RISE and places.on_body(where):
        lost = abs(float(red.value)) + abs(float(black.value))
    inputs.append(Input("U_l", "lost on the way", lost, "V"))
    value = (
        planned("reading_fraction") * abs(volts)
        + planned("reading_least_v")
        + source
        + planned(spread) * lost
    )
    cited = cite(LAWS, plan_source(*names))
    return Working("Tolerance of the reading", formula, tuple(inputs), (), value, "V", cited)


def difference_v(build: Build, sheet: Sheet, reading: JudgedReading) -> Working:
    """Reading less prediction; the value is ``None`` while nothing is typed."""
    where = _probes(build, reading)
    foretold = predicted_v(build, sheet, reading).value
    if reading.value_v is None:
        return Working("Difference", "none", (), ("not read yet",), None, "V", LAWS)
    shown = where.shown(reading.value_v)
    assert isinstance(foretold, float)
    return Working(
        "Difference of reading and prediction",
        "M - U",
        (Input("M", "the meter showed", shown, "V"), Input("U", "predicted", foretold, "V")),
        (),
        shown - foretold,
        "V",
        LAWS,
    )
