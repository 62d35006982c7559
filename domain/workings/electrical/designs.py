"""Workings of the designs that stand beside the chosen one."""

from math import inf

from domain.electrical import loads
from domain.sheet import Design
from domain.workings.cited import LAWS, PRACTICE, cite, plan_source, row_source
from domain.workings.context import Context
from domain.workings.makers import Makers
from domain.workings.working import Input, Working


def copper_kg(c: Context, d: Design, _: str) -> Working:
    """Conductor mass of the whole design."""
    masses = {
        id: item.conductor_kg(d.gauges.get(id, c.sized.gauge[id]))
        for id, item in c.items.items()
        if not item.run.existing
    }
    metals = {c.runs[id].metal for id in masses}
    return Working(
        f"Conductor mass, {d.title}",
        "m = sum of rho A L over the runs that are bought",
        tuple(
            Input(f"m {id}", d.gauges.get(id, c.sized.gauge[id]), kg, "kg")
            for id, kg in masses.items()
        ),
        (),
        sum(masses.values()),
        "kg",
        cite("FORMULA", *(row_source("metals", metal=m.value) for m in sorted(metals))),
    )


def worst_drop_v(c: Context, d: Design, _: str) -> Working:
    """Largest drop of any amplifier or other load with these gauges."""
    ohms = {}
    for id, item in c.items.items():
        fuse = c.sized.fuse_a.get(id)
        gauge = d.gauges.get(id, c.sized.gauge[id])
        ohms[id] = item.resistance_ohm(gauge, c.sized.tone_at_a[id], None if fuse == inf else fuse)
    solved = c.held(ohms, 1.0)
    drops: dict[str, tuple[float, float]] = {}
    for a in loads.takers(c.build):
        battery = c.wiring.feed[a.id].battery
        if battery and c.wiring.ret[a.id].battery:
            post = solved.volts[f"{battery}_pos"] - solved.volts[f"{battery}_neg"]
            drops[a.id] = post, solved.volts[f"{a.id}_pos"] - solved.volts[f"{a.id}_neg"]
    title = f"Worst drop, {d.title}"
    source = cite(LAWS, plan_source("design_v", "joint_ohm", "fuse_drop_v"))
    if not drops:
        steps = ("no load is joined to a battery on both sides",)
        return Working(title, "none", (), steps, 0.0, "V", PRACTICE)
    worst = max(drops, key=lambda id: drops[id][0] - drops[id][1])
    post, terminal = drops[worst]
    along = ", ".join(f"{id} {ohm:.4g} ohm" for id, ohm in ohms.items())
    return Working(
        title,
        "U = V_post - V_load of the load with the largest",
        (
            Input("V_post", "across the battery's posts", post, "V"),
            Input("V_load", f"across {worst}, full power", terminal, "V"),
        ),
        (f"solved with these runs: {along}", solved.balance(f"{worst}_pos")),
        max(0.0, post - terminal),
        "V",
        source,
    )


WORKINGS: Makers = {"design": {"copper_kg": copper_kg, "worst_drop_v": worst_drop_v}}
