"""Workings of the supply."""

from domain.build.records import Alternator, Battery, Build
from domain.electrical import charging, sources
from domain.electrical.network.charger_draw import Drawn, drawn
from domain.electrical.network.converters import converters
from domain.electrical.network.states import vehicle_load_a
from domain.electrical.network.wiring import wiring
from domain.reference.planning import planned
from domain.sheet import Supply
from domain.workings.cited import ENTERED, LAWS, cite, plan, plan_source, row_source
from domain.workings.context import Context
from domain.workings.makers import Makers
from domain.workings.working import Input, Working


def capacity_ah(c: Context, r: Supply, _: str) -> Working:
    """Capacity of all batteries."""
    live = charging.live_batteries(c.build)
    inputs = tuple(Input(f"C {b.id}", "capacity", b.capacity_ah, "Ah") for b in live)
    value = sum(b.capacity_ah for b in live)
    return Working("Battery capacity", "C = sum of all", inputs, (), value, "Ah", ENTERED)


def vehicle_a(c: Context, r: Supply, _: str) -> Working:
    """What the vehicle draws."""
    inputs = tuple(
        Input(f"I {g.id}", "vehicle load on it", g.vehicle_load_a, "A") for g in c.build.alternators
    )
    value = vehicle_load_a(c.build, "cruise")
    return Working("Vehicle's own load", "I = sum of all", inputs, (), value, "A", ENTERED)


def _sum_of_loads(c: Context, field: str, level: str) -> Working:
    each = {a.id: float(getattr(a, field)) for a in c.sheet.loads}
    title = f"{_loads(c)} {level}"
    inputs = tuple(Input(f"I {id}", "its current", amperes, "A") for id, amperes in each.items())
    return Working(title, "I = sum of all", inputs, (), sum(each.values()), "A", LAWS)


def _loads(c: Context) -> str:
    return "Amplifiers and other loads" if c.sheet.appliances else "Amplifiers"


def programme_a(c: Context, r: Supply, _: str) -> Working:
    """Programme current of all amplifiers."""
    return _sum_of_loads(c, "programme_a", "at the average level")


def design_a(c: Context, r: Supply, _: str) -> Working:
    """Full-tone current of all amplifiers."""
    return _sum_of_loads(c, "design_a", "at full power")


def limit_source(alternator: Alternator, idle: bool) -> str:
    """Where the most that an alternator gives is from."""
    if idle and alternator.idle_a is not None:
        return ENTERED
    curve = row_source("alternator_output") if idle or not alternator.hot else ""
    hot = "" if alternator.hot else plan_source("alternator_hot_fraction")
    return cite(ENTERED, curve, hot)


def limit_step(alternator: Alternator, idle: bool) -> str:
    """How the most that an alternator gives follows, in words."""
    name, rated = alternator.name or alternator.id, alternator.rated_a
    if idle and alternator.idle_a is not None:
        return f"{name}: as entered for idle"
    if not idle and alternator.hot:
        return f"{name}: as entered, hot while driving"
    slow, fast = (
        rpm * alternator.pulley_ratio for rpm in (alternator.idle_rpm, alternator.cruise_rpm)
    )
    at_idle, at_cruise = sources.output_fraction(slow), sources.output_fraction(fast)
    if alternator.hot:
        return (
            f"{name}: {rated:g} A x {at_idle:.3f} at {slow:.0f} per minute / {at_cruise:.3f} "
            f"at {fast:.0f}"
        )
    share, speed = (at_idle, slow) if idle else (at_cruise, fast)
    hot = planned("alternator_hot_fraction")
    return f"{name}: {rated:g} A on the plate x {hot:g} hot x {share:.3f} at {speed:.0f} per minute"


def _given(build: Build, idle: bool) -> tuple[tuple[Input, ...], float, str]:
    live = charging.live_alternators(build)
    limits = {g.id: sources.alternator_limit_a(g, idle) for g in live}
    inputs = tuple(Input(f"I {id}", "most it gives", limit, "A") for id, limit in limits.items())
    source = cite(ENTERED, *(limit_source(g, idle) for g in live))
    return inputs, sum(limits.values()), source


def _alternator(c: Context, idle: bool) -> Working:
    inputs, value, source = _given(c.build, idle)
    steps = tuple(limit_step(g, idle) for g in charging.live_alternators(c.build))
    title = f"Alternators at {'idle' if idle else 'cruise'}"
    return Working(title, "I = sum of all", inputs, steps, value, "A", source)


def cruise_a(c: Context, r: Supply, _: str) -> Working:
    """Alternators at cruise."""
    return _alternator(c, False)


def idle_a(c: Context, r: Supply, _: str) -> Working:
    """Alternators at idle."""
    return _alternator(c, True)


def _drawn(c: Context, charging: bool = True) -> Drawn:
    average = {a.id: a.programme_a for a in c.sheet.loads}
    return drawn(c.build, wiring(c.build), average, charging)


def _chargers(c: Context, charging: bool) -> Working:
    """What the inputs of DC-DC chargers take."""
    found = _drawn(c, charging)
    volts = planned("design_v")
    inputs = [plan("V_in", "design_v")]
    for each in converters(c.build):
        if each.id in found.given_a:
            inputs += [
                Input(f"I_out {each.id}", "what it gives", found.given_a[each.id], "A"),
                Input(f"V_out {each.id}", "its charging voltage", each.charge_v, "V"),
                Input(f"eta {each.id}", "its efficiency", each.efficiency),
            ]
    steps = [
        f"{each.id}: {each.takes_a(found.given_a[each.id], volts):.4g} A"
        for each in converters(c.build)
        if each.id in found.given_a
    ]
    steps.append(
        "each gives what its battery takes and what is drawn behind it, up to its rating"
        if charging
        else "each gives what is drawn behind it, up to its rating"
    )
    return Working(
        "DC-DC chargers " + ("while they charge" if charging else "with full batteries"),
        "I = sum of I_out V_out / (eta V_in), of those that alternators feed",
        tuple(inputs),
        tuple(steps),
        found.chargers_a,
        "A",
        cite(LAWS, ENTERED, plan_source("charger_efficiency", "design_v")),
    )


def chargers_a(c: Context, r: Supply, _: str) -> Working:
    """What DC-DC chargers take while they charge."""
    return _chargers(c, True)


def chargers_full_a(c: Context, r: Supply, _: str) -> Working:
    """What DC-DC chargers take once their batteries are full."""
    return _chargers(c, False)


def behind_a(c: Context, r: Supply, _: str) -> Working:
    """What is drawn behind DC-DC chargers, on average."""
    found = _drawn(c)
    inputs = (
        Input(
            "I_p",
            f"{_loads(c).lower()}, average",
            sum(a.programme_a for a in c.sheet.loads),
            "A",
        ),
        Input("I_s", "of those with no charger between", found.straight_a, "A"),
    )
    title = "Average current behind DC-DC chargers"
    return Working(title, "I = I_p - I_s", inputs, (), found.behind_a, "A", LAWS)


def _flows(c: Context, idle: bool) -> tuple[Input, ...]:
    found = _drawn(c)
    flows = (
        Input("I_a", "alternators", _given(c.build, idle)[1], "A"),
        Input("I_v", "vehicle", vehicle_load_a(c.build, "cruise"), "A"),
        Input("I_p", f"{_loads(c).lower()}, average", found.straight_a, "A"),
    )
    if not found.given_a:
        return flows
    return (*flows, Input("I_c", "DC-DC chargers, with what is behind", found.chargers_a, "A"))


def _balance(c: Context, idle: bool) -> Working:
    inputs = _flows(c, idle)
    given, *taken = (float(i.value) for i in inputs)
    return Working(
        f"Balance at {'idle' if idle else 'cruise'}",
        "I = I_a - I_v - I_p" + (" - I_c" if len(inputs) > 3 else ""),
        inputs,
        ("more than 0 charges the battery, less is taken from it",),
        given - sum(taken),
        "A",
        LAWS,
    )


def cruise_balance_a(c: Context, r: Supply, _: str) -> Working:
    """Surplus at cruise."""
    return _balance(c, False)


def idle_balance_a(c: Context, r: Supply, _: str) -> Working:
    """Surplus at idle."""
    return _balance(c, True)


def _minutes(c: Context, title: str, amperes: float, flows: tuple[Input, ...]) -> Working:
    live = charging.with_alternators(c.build)
    kinds = sorted({b.chemistry.value for b in live})
    names = [f"peukert_{kind}" for kind in kinds]
    capacity = sum(b.capacity_ah for b in live)
    inputs = [
        *flows,
        Input("I", "taken from the batteries", amperes, "A"),
        Input("C", _capacity_of(c, live), capacity, "Ah"),
        *(plan(f"k {kind}", name) for kind, name in zip(kinds, names, strict=True)),
        plan("H", "rated_hours"),
        plan("s", "state_of_charge"),
    ]
    steps = ["k weighted by capacity"] if len(kinds) > 1 else []
    value = charging.minutes_to_half(c.build, amperes, live)
    if value is None:
        steps.append("they are not drained" if capacity else "there is no battery")
    return Working(
        title,
        "t = 60 (s - 1/2) min(H (C / (I H))^k, C / I) (Peukert)",
        tuple(inputs),
        tuple(steps),
        value,
        "min",
        plan_source(*names, "rated_hours", "state_of_charge"),
    )


def _capacity_of(c: Context, live: tuple[Battery, ...]) -> str:
    every = len(live) == len(charging.live_batteries(c.build))
    return "capacity of all" if every else "capacity of those behind no charger"


def minutes_idle(c: Context, r: Supply, _: str) -> Working:
    """Minutes to half charge at idle."""
    flows = _flows(c, True)
    given, *taken = (float(i.value) for i in flows)
    return _minutes(c, "To half charge at idle", sum(taken) - given, flows)


def minutes_cruise(c: Context, r: Supply, _: str) -> Working:
    """Minutes to half charge at cruise."""
    flows = _flows(c, False)
    given, *taken = (float(i.value) for i in flows)
    return _minutes(c, "To half charge while driving", sum(taken) - given, flows)


def play_minutes(c: Context, r: Supply, _: str) -> Working:
    """Minutes to half charge with the engine off."""
    title = "Playing with the engine off, to half charge"
    state = c.sheet.state("off-programme")
    first = charging.first_to_half(c.build, state) if state else None
    if state is None or first is None:
        steps = ("no battery is drained",)
        return Working(title, "none", (), steps, None, "min", plan_source("rated_hours"))
    battery, minutes = first
    amperes = state.battery_a[battery.id]
    exponent = f"peukert_{battery.chemistry.value}"
    return Working(
        title,
        "t = 60 u min(H (C / (I H))^k, C / I) (Peukert)",
        (
            Input("C", f"capacity of {battery.name or battery.id}", battery.capacity_ah, "Ah"),
            Input("I", "what it gives, engine off, average", state.battery_a[battery.id], "A"),
            plan("k", exponent),
            plan("H", "rated_hours"),
            Input("u", "share of its charge used", charging.usable_share(battery, amperes)),
        ),
        (
            f"the battery that is first at half charge, from {planned('state_of_charge'):.0%}, or "
            f"at {planned('cut_off_v'):g} V at its posts",
        ),
        minutes,
        "min",
        plan_source(exponent, "rated_hours", "state_of_charge", "cut_off_v"),
    )


def sag_v(c: Context, r: Supply, _: str) -> Working:
    """How far the posts sag."""
    state = c.sheet.states[-1]
    charge = planned("state_of_charge")
    sags: dict[str, float] = {}
    inputs = []
    for b in charging.live_batteries(c.build):
        rest = sources.rest_voltage_v(b.chemistry, charge)
        inputs.append(Input(f"V_0 {b.id}", f"rest voltage at {charge:.0%} charge", rest, "V"))
        inputs.append(Input(f"V {b.id}", state.title, state.battery_v[b.id], "V"))
        sags[b.id] = rest - state.battery_v[b.id]
    return Working(
        "Sag at the posts, engine off, full power",
        "U = V_0 - V of the battery that sags most",
        tuple(inputs),
        (),
        max(sags.values(), default=0.0),
        "V",
        cite(
            LAWS,
            plan_source("state_of_charge"),
            *(row_source("battery_rest_voltage", chemistry=b.chemistry) for b in c.build.batteries),
        ),
    )


WORKINGS: Makers = {
    "supply": {
        "capacity_ah": capacity_ah,
        "vehicle_a": vehicle_a,
        "programme_a": programme_a,
        "design_a": design_a,
        "cruise_a": cruise_a,
        "idle_a": idle_a,
        "cruise_balance_a": cruise_balance_a,
        "idle_balance_a": idle_balance_a,
        "minutes_to_half_idle": minutes_idle,
        "minutes_to_half_cruise": minutes_cruise,
        "play_minutes": play_minutes,
        "sag_v": sag_v,
        "chargers_a": chargers_a,
        "chargers_full_a": chargers_full_a,
        "behind_a": behind_a,
    }
}
