"""Workings of remote outputs, of the leads that hang on them, and of bus bars."""

from domain.build.choices import Metal
from domain.build.record_kinds.lead_records import Lead
from domain.build.records import Block
from domain.document.records import find
from domain.electrical import bus_bars, conductors, fuses, switching
from domain.electrical.network.run_conductor import NO_ZONE_C
from domain.electrical.sizing.between_sources import charging_a
from domain.reference.planning import planned
from domain.sheet import BlockResult, LeadResult, RemoteResult
from domain.workings.cited import ENTERED, LAWS, PRACTICE, cite, plan, plan_source
from domain.workings.context import Context
from domain.workings.electrical.along import along
from domain.workings.makers import Makers
from domain.workings.working import Input, Working

_TABLE = "33CFR183.425"


def _entered(title: str, value: float, unit: str) -> Working:
    return Working(title, "as entered", (Input("x", title, value, unit),), (), value, unit, ENTERED)


def _none(title: str, unit: str, why: str) -> Working:
    return Working(title, "none", (), (why,), None, unit, PRACTICE)


def _lead(c: Context, r: LeadResult) -> Lead | None:
    found = find(c.build, r.record)
    return found if isinstance(found, Lead) else None


def count(c: Context, r: LeadResult, _: str) -> Working:
    """Alike cables."""
    return _entered("Cables side by side", r.count, "-")


def length_m(c: Context, r: LeadResult, _: str) -> Working:
    """Route length."""
    title = "Length of the route"
    if (way := switching.followed(c.build, r.id)) is not None:
        return along(c, way)
    if not r.length_auto:
        return _entered(title, r.length_m, "m")
    name, factor = switching.assumed(c.build, r.length_m)
    steps = (f"1 in = {factor:g} m",) if factor != 1 else ()
    value = planned(name) * factor
    formula = "L assumed until it is measured"
    return Working(title, formula, (plan("L", name),), steps, value, "m", plan_source(name))


def wire_m(c: Context, r: LeadResult, _: str) -> Working:
    """Wire with slack."""
    share, least = planned("slack_fraction"), planned("slack_least_m")
    return Working(
        "Wire with slack",
        "wire = L + max(s L, S)",
        (
            Input("L", "length of the route", r.length_m, "m"),
            plan("s", "slack_fraction"),
            plan("S", "slack_least_m"),
        ),
        (),
        r.length_m + max(share * r.length_m, least),
        "m",
        plan_source("slack_fraction", "slack_least_m"),
    )


def carries_a(c: Context, r: LeadResult, _: str) -> Working:
    """What flows in it."""
    title, lead = "Current in the lead", _lead(c, r)
    if r.carries_a is None:
        return _none(title, "A", "not asked of signal and loudspeaker leads")
    if lead is None:
        coil = not r.id.endswith(".feed")
        given = plan("I", "relay_coil_a")
        if coil:
            value = planned("relay_coil_a")
            return Working(title, "I", (given,), (), value, "A", plan_source("relay_coil_a"))
        remote = next(each for each in c.sheet.remotes if each.id == r.record)
        asked = Input("I", "what the devices behind the relay take", remote.devices_a, "A")
        return Working(title, "I", (asked,), (), remote.devices_a, "A", LAWS)
    own = switching.draws_a(c.build, lead)
    handed = switching.carried_a(c.build, lead) - own
    return Working(
        title,
        "I = I_d + I_h",
        (
            Input("I_d", "taken by the device at its end", own, "A"),
            Input("I_h", "taken by those that it is handed on to", handed, "A"),
        ),
        (),
        own + handed,
        "A",
        cite(LAWS, ENTERED if lead.draws_a is not None else plan_source("remote_input_a")),
    )


def drop_v(c: Context, r: LeadResult, _: str) -> Working:
    """Lost along it."""
    if r.drop_v is None or r.carries_a is None:
        return _none("Drop along the lead", "V", "nothing is taken to flow in it")
    ohm = conductors.resistance_ohm(r.gauge, Metal.COPPER, r.wire_m, NO_ZONE_C)
    return Working(
        "Drop along the lead",
        "U = I R",
        (
            Input("I", "current in the lead", r.carries_a, "A"),
            Input("R", f"its wire at {NO_ZONE_C:g} C", ohm, "ohm"),
        ),
        (),
        r.carries_a * ohm,
        "V",
        cite(LAWS, "IEC60028"),
    )


def holds_a(c: Context, r: LeadResult, _: str) -> Working:
    """What its wire carries for good."""
    if r.holds_a is None:
        return _none("Carries for good", "A", "not asked of signal and loudspeaker leads")
    return Working(
        "Carries for good",
        "table current x sqrt((105 - T) / (105 - 30))",
        (Input("gauge", "wire size", r.gauge), Input("T", "air around it", NO_ZONE_C, "C")),
        (),
        switching.holds_a(r.gauge),
        "A",
        _TABLE,
    )


def lead_fuse_a(c: Context, r: LeadResult, _: str) -> Working:
    """Fuse at its beginning."""
    if r.fuse_a is None:
        return _none("Fuse of the lead", "A", "it has none of its own")
    remote = next(each for each in c.sheet.remotes if each.id == r.record)
    return _relay_fuse(remote)


def devices(c: Context, r: RemoteResult, _: str) -> Working:
    """How many hang on it."""
    return _entered("Devices on its leads", r.devices, "-")


def devices_a(c: Context, r: RemoteResult, _: str) -> Working:
    """What they take together."""
    own = [w for w in switching.remote_leads(c.build) if w.source == r.id]
    inputs = tuple(
        Input(f"I_{w.id}", "what flows in that lead", switching.carried_a(c.build, w), "A")
        for w in own
    )
    total = sum(switching.carried_a(c.build, w) for w in own)
    steps = () if own else ("it feeds no lead",)
    return Working("Taken by its devices", "sum of I", inputs, steps, total, "A", LAWS)


def given_a(c: Context, r: RemoteResult, _: str) -> Working:
    """What the output itself gives."""
    title = "Given by the output"
    if r.relay:
        coil = plan("I", "relay_coil_a")
        value = planned("relay_coil_a")
        return Working(title, "the coil", (coil,), (), value, "A", plan_source("relay_coil_a"))
    taken = Input("I", "taken by its devices", r.devices_a, "A")
    return Working(title, "I", (taken,), (), r.devices_a, "A", LAWS)


def limit_a(c: Context, r: RemoteResult, _: str) -> Working:
    """The most that it gives."""
    if not r.limit_auto:
        return _entered("Most of the output", r.limit_a, "A")
    name = switching.usual_limit(next(each for each in c.build.remotes if each.id == r.id))
    given = (plan("I", name),)
    return Working("Most of the output", "usual", given, (), planned(name), "A", plan_source(name))


def fuse_a(c: Context, r: RemoteResult, _: str) -> Working:
    """Fuse that feeds its relay."""
    if r.fuse_a is None:
        return _none("Fuse of the relay", "A", "no relay, or no fuse is large enough")
    return _relay_fuse(r)


def _relay_fuse(r: RemoteResult) -> Working:
    least = fuses.least_rating_a(r.devices_a, r.devices_a, NO_ZONE_C)
    found = fuses.smallest(max(least, planned("relay_fuse_a")), switching.RELAY_FUSE)
    return Working(
        "Fuse of the relay",
        "smallest rating of at least max(I_f, I_s)",
        (
            Input("I_f", "least rating for what its devices take", least, "A"),
            plan("I_s", "relay_fuse_a"),
        ),
        (),
        found[0] if found else None,
        "A",
        plan_source("fuse_continuous_fraction", "relay_fuse_a"),
    )


def bar_holds_a(c: Context, r: BlockResult, _: str) -> Working:
    """What a bus bar carries for good."""
    title = "A bus bar carries for good"
    if r.bar_holds_a is None:
        return _none(title, "A", "no bus bar, or none that is listed is large enough")
    if r.bar_m is None:
        return _entered(title, r.bar_holds_a, "A")
    block = find(c.build, r.id)
    assert isinstance(block, Block)
    air = bus_bars.ambient_c(c.build, block)
    rise = planned("bus_bar_c") - air
    return Working(
        title,
        "s I(w, t, T_b - T)",
        (
            Input("w", "width", r.bar_m[0], "m"),
            Input("t", "thickness", r.bar_m[1], "m"),
            plan("T_b", "bus_bar_c"),
            Input("T", "air around it", air, "C"),
            Input("I", "table current of that bar at this rise", _free(r.bar_m, rise), "A"),
            plan("s", "bus_bar_share"),
        ),
        (),
        planned("bus_bar_share") * _free(r.bar_m, rise),
        "A",
        cite("COPPER110", plan_source("bus_bar_c", "bus_bar_share")),
    )


def _free(section: bus_bars.Section, rise_k: float) -> float:
    return bus_bars.free_air_a(section, rise_k)


def bar_carries_a(c: Context, r: BlockResult, _: str) -> Working:
    """What flows through a bus bar."""
    title = "Flows through a bus bar"
    block = find(c.build, r.id)
    if not isinstance(block, Block) or not bus_bars.is_bus_bar(block):
        return Working(title, "0", (), ("no bus bar",), 0.0, "A", PRACTICE)
    solved = bus_bars.carries_a(c.build, c.sheet.states, block, "programme")
    value = bus_bars.for_good_a(c.build, c.sheet.states, charging_a(c.build), block)
    inputs = (
        Input(
            "I", "sum of the currents of its runs, in the state where it is most", 2 * solved, "A"
        ),
        Input("I_r", "that, or more where a run at it charges or evens out batteries", value, "A"),
    )
    return Working(title, "the larger of I / 2 and I_r", inputs, (), value, "A", LAWS)


WORKINGS: Makers = {
    "lead_result": {
        "count": count,
        "length_m": length_m,
        "wire_m": wire_m,
        "carries_a": carries_a,
        "drop_v": drop_v,
        "fuse_a": lead_fuse_a,
        "holds_a": holds_a,
    },
    "remote_result": {
        "devices": devices,
        "devices_a": devices_a,
        "given_a": given_a,
        "limit_a": limit_a,
        "fuse_a": fuse_a,
    },
    "block_result": {"bar_holds_a": bar_holds_a, "bar_carries_a": bar_carries_a},
}
