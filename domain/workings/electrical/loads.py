"""Workings of the lists of amplifiers and other loads."""

from domain.build.choices import AmplifierClass, Playing
from domain.build.records import Amplifier, Appliance
from domain.document.records import find
from domain.electrical import loads
from domain.electrical.network import nodal
from domain.electrical.sizing import sized
from domain.reference.planning import planned
from domain.sheet import AmplifierLoad
from domain.workings.cited import ENTERED, LAWS, PRACTICE, cite, plan, plan_source
from domain.workings.context import Context
from domain.workings.electrical import appliances
from domain.workings.makers import Makers
from domain.workings.working import Input, Working


def _taker(c: Context, id: str) -> loads.Taker:
    found = find(c.build, id)
    assert isinstance(found, Amplifier | Appliance)
    return found


def rated(c: Context, r: AmplifierLoad, _: str) -> Working:
    """Rated output power."""
    a = _taker(c, r.id)
    if isinstance(a, Appliance):
        return appliances.rated(a)
    return Working(
        "Rated power",
        "P = n P_n + m P_m",
        (
            Input("n", "channels of the main set", a.channels),
            Input("P_n", "rated power of each", a.channel_w, "W"),
            Input("m", "channels of the bass set", a.sub_channels),
            Input("P_m", "rated power of each", a.sub_channel_w, "W"),
        ),
        (),
        loads.rated_w(a),
        "W",
        ENTERED,
    )


def efficiency(c: Context, r: AmplifierLoad, _: str) -> Working:
    """Efficiency at rated power."""
    a = _taker(c, r.id)
    if isinstance(a, Appliance):
        return appliances.efficiency(a)
    if a.efficiency is not None:
        given = Input("eta", "efficiency entered", a.efficiency)
        return Working(
            "Efficiency", "eta as entered", (given,), (), loads.rated_efficiency(a), "-", ENTERED
        )
    name = f"efficiency_{a.amplifier_class.value}"
    return Working(
        "Efficiency",
        "eta typical for the class, as none was entered",
        (Input("class", "output stage", a.amplifier_class.value), plan("eta", name)),
        (),
        loads.rated_efficiency(a),
        "-",
        plan_source(name),
    )


_FALLS = {
    AmplifierClass.AB: "eta_x = eta sqrt(x), class B theory",
    AmplifierClass.GH: "eta_x = eta x^(1/4), common practice",
    AmplifierClass.D: "eta_x = eta, nearly flat; its fixed loss is the idle current",
}


def load_inputs(a: Amplifier, fraction: float, volts: float) -> tuple[Input, ...]:
    """What the current of an amplifier follows from, at a level and a terminal voltage."""
    inputs = [
        Input("P", "rated output power", loads.rated_w(a), "W"),
        Input("x", "share of it that is played", fraction),
        Input("eta_x", "efficiency at that level", loads.efficiency_at(a, fraction)),
        Input("V", "voltage at its terminals", volts, "V"),
        Input("I_0", "idle current", a.idle_a, "A"),
        Input("V_low", "lowest working voltage", a.lowest_v, "V"),
    ]
    if not a.regulated:
        inputs.append(plan("V_ref", "design_v"))
    if a.onboard_fuse_a:
        inputs.append(Input("I_cap", "its own fuses", a.onboard_fuse_a, "A"))
    return tuple(inputs)


def load_formula(a: Amplifier) -> str:
    """The law of an amplifier in words."""
    law = "x P / (eta_x V) + I_0" if a.regulated else "x P V / (eta_x V_ref^2) + I_0"
    if a.onboard_fuse_a:
        law = f"min({law}, I_cap)"
    return f"I = {law}"


def load_steps(a: Amplifier, volts: float) -> tuple[str, ...]:
    """What is said beside that law."""
    steps = [_FALLS[a.amplifier_class]]
    if volts < a.lowest_v:
        steps.append("below V_low it fades out: I(V_low) V / V_low")
    return tuple(steps)


def load_source(c: Context, a: Amplifier, full_output: bool) -> str:
    """Where the figures behind an amplifier's current are from."""
    header = c.build.header
    if full_output:
        level = plan_source("full_tone_fraction")
    elif header.average_level is not None:
        level = ENTERED
    else:
        level = plan_source(f"programme_fraction_{header.programme.value}")
    own = ENTERED if a.efficiency is not None else plan_source(f"efficiency_{a.amplifier_class}")
    shape = "" if a.amplifier_class is AmplifierClass.D else PRACTICE
    return cite(LAWS, level, own, shape)


def _drawn(c: Context, r: AmplifierLoad, level: str) -> Working:
    a = _taker(c, r.id)
    full_output = level == "tone"
    fraction = (
        planned("full_tone_fraction") if full_output else loads.programme_fraction(c.build.header)
    )
    playing = Playing.TONE if full_output else Playing.PROGRAMME
    asked = loads.lasting_load(a, fraction)
    solved = full_output or isinstance(a, Amplifier)
    if not solved:
        asked = loads.load_in_state(a, c.build.header, playing)
    wired = c.wiring.feed[a.id].battery and c.wiring.ret[a.id].battery
    if wired and solved:
        at = c.design(level).volts
        volts = at[f"{a.id}_pos"] - at[f"{a.id}_neg"]
        value = nodal.load_law(asked)(volts)[0]
        steps: tuple[str, ...] = (
            f"V solved with the battery posts held at {planned('design_v'):g} V",
            c.design(level).balance(f"{a.id}_pos"),
        )
    else:
        volts = planned("design_v")
        value = loads.current_a(asked, volts)
        steps = (
            ("its average, taken at the design voltage",)
            if wired
            else ("not joined to a battery on both sides: taken at the design voltage",)
        )
    title = "Current at full power" if full_output else "Current at the average level"
    if isinstance(a, Appliance):
        share, said = appliances.share(a, playing, True)
        return Working(
            "Current while it runs" if full_output else "Average current, engine running",
            appliances.formula(a),
            appliances.inputs(a, share, volts),
            said + steps,
            value,
            "A",
            cite(appliances.source(a), plan_source("design_v")),
        )
    return Working(
        title,
        load_formula(a),
        load_inputs(a, fraction, volts),
        load_steps(a, volts) + steps,
        value,
        "A",
        cite(load_source(c, a, full_output), plan_source("design_v")),
    )


def design_a(c: Context, r: AmplifierLoad, _: str) -> Working:
    """Current at full tone."""
    return _drawn(c, r, "tone")


def programme_a(c: Context, r: AmplifierLoad, _: str) -> Working:
    """Average current of the programme."""
    return _drawn(c, r, "programme")


def _drop_inputs(c: Context, r: AmplifierLoad, feed: bool, ret: bool) -> tuple[Input, ...]:
    volts, inputs = c.sized.volts, []
    for side, wanted in (("pos", feed), ("neg", ret)):
        for device, what in ((r.feed, "battery post"), (r.id, "amplifier terminal")):
            if wanted:
                node = f"{device}_{side}"
                inputs.append(Input(f"V {node}", what, volts[node], "V"))
    return tuple(inputs)


def _run_drops(c: Context, ids: tuple[str, ...]) -> str:
    drops = {id: abs(c.design("tone").branch_a(id)) * c.sized.tone_ohm[id] for id in ids}
    return "along its runs: " + " + ".join(f"{id} {v:.4g} V" for id, v in drops.items())


def _drop(c: Context, r: AmplifierLoad, title: str, formula: str, feed: bool, ret: bool) -> Working:
    source = cite(LAWS, plan_source("design_v"))
    if r.drop_v is None:
        steps = ("not joined to a battery on both sides: there is no drop",)
        return Working(title, formula, (), steps, None, "V", source)
    down, back = sized.drops(c.wiring, c.sized, r.id)
    runs = (r.feed_runs if feed else ()) + (r.return_runs if ret else ())
    said = (_run_drops(c, runs), "what is left lies in the body and in isolators")
    value = down * feed + back * ret
    return Working(title, formula, _drop_inputs(c, r, feed, ret), said, value, "V", source)


def drop_v(c: Context, r: AmplifierLoad, _: str) -> Working:
    """Drop there and back."""
    formula = "U = (V post+ - V amp+) + (V amp- - V post-)"
    return _drop(c, r, "Drop to the amplifier and back, full power", formula, True, True)


def drop_feed_v(c: Context, r: AmplifierLoad, _: str) -> Working:
    """Drop on the positive side."""
    return _drop(c, r, "Drop on the feed, full power", "U = V post+ - V amp+", True, False)


def drop_return_v(c: Context, r: AmplifierLoad, _: str) -> Working:
    """Drop on the ground side."""
    return _drop(c, r, "Drop on the return, full power", "U = V amp- - V post-", False, True)


def ground_offset_v(c: Context, r: AmplifierLoad, _: str) -> Working:
    """How far the amplifier's ground lies off the signal's."""
    title, source = "Ground offset against the signal source, full power", cite(LAWS, PRACTICE)
    if r.ground_offset_v is None:
        steps = ("not joined to a battery on both sides",)
        return Working(title, "none", (), steps, None, "V", source)
    marked = next((point for point in c.build.grounds if point.signal), None)
    here = c.sized.volts[f"{r.id}_neg"]
    signal = c.sized.volts[marked.id] if marked else 0.0
    said = (marked.name or marked.id) if marked else "star point of the body: no ground is marked"
    return Working(
        title,
        "U = V amp- - V_s",
        (
            Input("V amp-", "its negative terminal against the star point", here, "V"),
            Input("V_s", said, signal, "V"),
        ),
        (c.design("tone").balance(f"{r.id}_neg"),),
        here - signal,
        "V",
        source,
    )


WORKINGS: Makers = {
    "amplifier_load": {
        "rated_w": rated,
        "efficiency": efficiency,
        "design_a": design_a,
        "programme_a": programme_a,
        "drop_v": drop_v,
        "drop_feed_v": drop_feed_v,
        "drop_return_v": drop_return_v,
        "ground_offset_v": ground_offset_v,
    }
}
