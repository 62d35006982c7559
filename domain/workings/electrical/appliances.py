"""Workings of loads that play no music."""

from domain.build.choices import LoadKind, Playing, Works
from domain.build.records import Appliance
from domain.electrical import loads
from domain.workings.cited import ENTERED, LAWS, cite, plan, plan_source
from domain.workings.working import Input, Working

_LAWS = {
    LoadKind.POWER: "x P / V + I_0",
    LoadKind.INVERTER: "x P / (eta V) + I_0",
    LoadKind.CURRENT: "x P / V_s + I_0",
    LoadKind.RESISTANCE: "x P V / V_s^2 + I_0",
    LoadKind.CAPACITOR: "I_0, its leak",
}


def rated(v: Appliance) -> Working:
    """Power as stated."""
    given = Input("P", "power as stated", loads.rated_w(v), "W")
    return Working("Rated power", "P as entered", (given,), (), loads.rated_w(v), "W", ENTERED)


def efficiency(v: Appliance) -> Working:
    """Efficiency of an inverter; other loads take what is stated."""
    value = loads.rated_efficiency(v)
    if v.kind is not LoadKind.INVERTER:
        steps = ("it takes what is stated",)
        return Working("Efficiency", "eta = 1", (), steps, value, "-", ENTERED)
    if v.efficiency is not None:
        given = Input("eta", "efficiency entered", v.efficiency)
        return Working("Efficiency", "eta as entered", (given,), (), value, "-", ENTERED)
    name = "efficiency_inverter"
    said = "eta typical for inverters, as none was entered"
    return Working("Efficiency", said, (plan("eta", name),), (), value, "-", plan_source(name))


def formula(v: Appliance) -> str:
    """Its law in words."""
    law = _LAWS[v.kind]
    return f"I = min({law}, I_cap)" if v.onboard_fuse_a else f"I = {law}"


def inputs(v: Appliance, share: float, volts: float) -> tuple[Input, ...]:
    """What its current follows from, at a share of its power and a terminal voltage."""
    found = [
        Input("P", "power as stated", loads.rated_w(v), "W"),
        Input("x", "share of it that is taken", share),
        Input("V", "voltage at its terminals", volts, "V"),
        Input("I_0", "idle current", v.idle_a, "A"),
        Input("V_low", "lowest working voltage", v.lowest_v, "V"),
    ]
    if v.kind is LoadKind.INVERTER:
        found.append(Input("eta", "efficiency", loads.rated_efficiency(v)))
    elif v.kind is not LoadKind.POWER:
        found.append(Input("V_s", "voltage at which the power is stated", v.rated_v, "V"))
    if v.onboard_fuse_a:
        found.append(Input("I_cap", "its own fuses", v.onboard_fuse_a, "A"))
    return tuple(found)


def share(v: Appliance, playing: Playing, engine_runs: bool) -> tuple[float, tuple[str, ...]]:
    """The share of its power that it takes in a state, and what is said beside it."""
    if not loads.may_run(v, playing, engine_runs):
        when = "the music" if v.works is Works.MUSIC else "the ignition"
        return 0.0, (f"off: it works with {when}",)
    return (1.0 if playing is Playing.TONE else v.duty), ()


def source(v: Appliance) -> str:
    """Where the figures behind its current are from."""
    typical = v.kind is LoadKind.INVERTER and v.efficiency is None
    return cite(LAWS, ENTERED, plan_source("efficiency_inverter") if typical else "")
