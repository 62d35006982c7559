"""Workings of the solved states: the balances that prove node voltages and currents."""

from domain.build.records import Amplifier, Appliance, Battery
from domain.document.records import find
from domain.electrical import loads, sources
from domain.electrical.network import converters, states
from domain.reference.planning import planned
from domain.sheet import NetworkState
from domain.workings.cited import ENTERED, LAWS, cite, plan, plan_source, row_source
from domain.workings.context import Context
from domain.workings.electrical import appliances
from domain.workings.electrical import loads as amplifiers
from domain.workings.electrical.supply import limit_source, limit_step
from domain.workings.makers import Makers
from domain.workings.working import Input, Working

_NOT_MET = "the network did not settle in this state: the balance is not met"


def _steps(s: NetworkState, *steps: str) -> tuple[str, ...]:
    return steps if s.converged else (*steps, _NOT_MET)


def node_v(c: Context, s: NetworkState, node: str) -> Working:
    """A node's voltage against the chassis."""
    solved = c.state(s.id)
    return Working(
        f"Voltage of {node}, {s.title}",
        "V = sum of J / sum of G over all that meets there (Kirchhoff)",
        solved.inputs(node),
        _steps(s, solved.balance(node), "sources and loads by their tangent at the solution"),
        solved.balanced_v(node),
        "V",
        LAWS,
    )


def current_a(c: Context, s: NetworkState, run: str) -> Working:
    """A run's current."""
    title = f"Current of {run}, {s.title}"
    if run not in c.wiring.ends:
        return Working(title, "I = 0", (), ("it is not joined at both ends",), 0.0, "A", LAWS)
    solved = c.state(s.id)
    a, b = c.wiring.ends[run]
    ohm = solved.branch_ohm(run)
    return Working(
        title,
        "I = (V_a - V_b) / R",
        (
            Input("V_a", f"node {a}", s.node_v[a], "V"),
            Input("V_b", f"node {b}", s.node_v[b], "V"),
            Input("R", "resistance of the run in this state", ohm, "ohm"),
        ),
        _steps(s, solved.balance(a), solved.balance(b)),
        (s.node_v[a] - s.node_v[b]) / ohm,
        "A",
        LAWS,
    )


def _across(s: NetworkState, id: str) -> tuple[tuple[Input, Input], float]:
    plus, minus = s.node_v[f"{id}_pos"], s.node_v[f"{id}_neg"]
    inputs = Input("V+", f"node {id}_pos", plus, "V"), Input("V-", f"node {id}_neg", minus, "V")
    return inputs, plus - minus


def terminals_v(c: Context, s: NetworkState, id: str) -> Working:
    """Voltage across a device."""
    inputs, volts = _across(s, id)
    title = f"Voltage across {id}, {s.title}"
    return Working(title, "V = V+ - V-", inputs, _steps(s), volts, "V", LAWS)


def amplifier_a(c: Context, s: NetworkState, id: str) -> Working:
    """An amplifier's or other load's current at the solved voltage."""
    a = find(c.build, id)
    if isinstance(a, Appliance):
        return _appliance_a(c, s, a)
    assert isinstance(a, Amplifier)
    full_output = s.id.endswith("tone")
    level = "full_tone_fraction"
    fraction = planned(level) if full_output else loads.programme_fraction(c.build.header)
    _, volts = _across(s, id)
    return Working(
        f"Current of {id}, {s.title}",
        amplifiers.load_formula(a),
        amplifiers.load_inputs(a, fraction, volts),
        _steps(s, *amplifiers.load_steps(a, volts), c.state(s.id).balance(f"{id}_pos")),
        states.laws(c.build, s.id)[id](volts)[0],
        "A",
        amplifiers.load_source(c, a, full_output),
    )


def _appliance_a(c: Context, s: NetworkState, v: Appliance) -> Working:
    engine_runs = not s.id.startswith("off")
    share, said = appliances.share(v, states.playing_in(s.id), engine_runs)
    _, volts = _across(s, v.id)
    low = ("below V_low it fades out: I(V_low) V / V_low",) if volts < v.lowest_v else ()
    return Working(
        f"Current of {v.id}, {s.title}",
        appliances.formula(v),
        appliances.inputs(v, share, volts),
        _steps(s, *said, *low, c.state(s.id).balance(f"{v.id}_pos")),
        states.laws(c.build, s.id)[v.id](volts)[0],
        "A",
        appliances.source(v),
    )


def battery_a(c: Context, s: NetworkState, id: str) -> Working:
    """What a battery gives (negative: takes)."""
    battery = find(c.build, id)
    assert isinstance(battery, Battery)
    _, volts = _across(s, id)
    charge = planned("state_of_charge")
    rest = sources.rest_voltage_v(battery.chemistry, charge)
    gives = volts < rest
    ohm = sources.internal_ohm(battery) if gives else sources.charging_ohm(battery, charge)
    said = "internal resistance" if gives else "what limits charging: acceptance at this charge"
    names = ["state_of_charge"]
    if not gives:
        names += [f"charge_c_rate_{battery.chemistry.value}", "charge_v"]
    if battery.resistance_ohm is None and battery.cranking_a is not None:
        names.append("cranking_resistance_v")
    elif battery.resistance_ohm is None:
        names.append(f"resistance_ah_{battery.chemistry.value}")
    return Working(
        f"Current from {id}, {s.title}",
        "I = (V_0 - V) / R",
        (
            Input("V_0", f"rest voltage at {charge:.0%} charge", rest, "V"),
            Input("V", "voltage at its posts", volts, "V"),
            Input("R", said, ohm, "ohm"),
        ),
        _steps(s, c.state(s.id).balance(f"{id}_pos")),
        (rest - volts) / ohm,
        "A",
        cite(
            LAWS,
            plan_source(*names),
            row_source("battery_rest_voltage", chemistry=battery.chemistry.value),
            ENTERED if battery.resistance_ohm is not None else "",
        ),
    )


def alternator_a(c: Context, s: NetworkState, id: str) -> Working:
    """What an alternator gives."""
    alternator = next(a for a in c.build.alternators if a.id == id)
    title = f"Current from {id}, {s.title}"
    if s.id.startswith("off"):
        return Working(title, "I = 0", (), ("the engine is off",), 0.0, "A", LAWS)
    idle = s.id.startswith("idle")
    _, volts = _across(s, id)
    return Working(
        title,
        "I = (V_r - V) / R_d, at most I_max; above V_r a trace through the regulator",
        (
            Input("V_r", "charging voltage", alternator.regulated_v, "V"),
            Input("V", "voltage at its terminals", volts, "V"),
            plan("R_d", "alternator_droop_ohm"),
            Input("I_max", "most it gives hot", sources.alternator_limit_a(alternator, idle), "A"),
        ),
        _steps(s, limit_step(alternator, idle), c.state(s.id).balance(f"{id}_pos")),
        0.0 - states.laws(c.build, s.id)[id](volts)[0],
        "A",
        cite(plan_source("alternator_droop_ohm"), limit_source(alternator, idle)),
    )


def _powers(c: Context, s: NetworkState, given: bool) -> tuple[tuple[Input, ...], float]:
    chargers = converters.both_sides(converters.converters(c.build))
    found = {
        name: -v * i if given else v * i
        for name, v, i in c.state(s.id).elements()
        if (v * i < 0) == given and v * i and name not in chargers
    }
    what = "voltage times current given" if given else "voltage times current taken"
    inputs = tuple(Input(f"P {name}", what, watts, "W") for name, watts in found.items())
    return inputs, sum(found.values())


def source_w(c: Context, s: NetworkState, _: str) -> Working:
    """Power of all sources."""
    inputs, value = _powers(c, s, True)
    title = f"Power from the sources, {s.title}"
    return Working(title, "P = sum of V I", inputs, _steps(s), value, "W", LAWS)


def load_w(c: Context, s: NetworkState, _: str) -> Working:
    """Power of all loads, and into batteries."""
    inputs, value = _powers(c, s, False)
    title = f"Power into loads and batteries, {s.title}"
    return Working(title, "P = sum of V I", inputs, _steps(s), value, "W", LAWS)


def _heat(c: Context, s: NetworkState) -> dict[str, float]:
    solved = c.state(s.id)
    chargers = converters.both_sides(converters.converters(c.build))
    found = {
        name: ((solved.node(a) - solved.node(b)) * g) ** 2 / g
        for (name, a, b), g in zip(solved.circuit.branches, solved.siemens, strict=True)
    }
    for name, v, i in solved.elements():
        if name in chargers:
            charger = chargers[name]
            found[charger] = found.get(charger, 0.0) + v * i
    return found


def heat_w(c: Context, s: NetworkState, _: str) -> Working:
    """Heat in wires, body, contacts and chargers."""
    heat = _heat(c, s)
    lossy = {each.id for each in converters.converters(c.build)}
    inputs = tuple(
        Input(f"P {name}", "taken less given" if name in lossy else "I^2 R", watts, "W")
        for name, watts in heat.items()
    )
    where = "wires, body, contacts and chargers" if lossy else "wires, body and contacts"
    title = f"Heat in {where}, {s.title}"
    return Working(title, "P = sum of I^2 R", inputs, _steps(s), sum(heat.values()), "W", LAWS)


def power_error(c: Context, s: NetworkState, _: str) -> Working:
    """What is left of the power balance."""
    source, load = _powers(c, s, True)[1], _powers(c, s, False)[1]
    heat = sum(_heat(c, s).values())
    return Working(
        f"Power that is not accounted for, {s.title}",
        "|P_s - P_l - P_h| / P_s",
        (
            Input("P_s", "from the sources", source, "W"),
            Input("P_l", "into loads and batteries", load, "W"),
            Input("P_h", "heat", heat, "W"),
        ),
        _steps(s),
        abs(source - load - heat) / source if source else 0.0,
        "-",
        LAWS,
    )


WORKINGS: Makers = {
    "network_state": {
        "node_v": node_v,
        "current_a": current_a,
        "amplifier_v": terminals_v,
        "amplifier_a": amplifier_a,
        "battery_a": battery_a,
        "battery_v": terminals_v,
        "alternator_a": alternator_a,
        "source_w": source_w,
        "load_w": load_w,
        "heat_w": heat_w,
        "power_error": power_error,
    }
}
