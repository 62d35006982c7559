"""Does each capacitor stand its voltage, sit where it helps, and hurt no wire when it is short?"""

from collections.abc import Iterator
from math import inf

from domain.build.choices import FuseFamily
from domain.build.records import Appliance
from domain.checks.context import Context
from domain.electrical import capacitors
from domain.electrical.network import charge_reach
from domain.electrical.protection import coordination
from domain.electrical.protection.any_short import Fuse
from domain.electrical.protection.withstand import adiabatic_k, limit_c
from domain.electrical.surges.pulses import struck
from domain.findings import Finding, Level
from domain.reference.planning import planned
from domain.sheet import RunResult
from domain.units.show import figures

PRACTICE = "common practice"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about voltage, lead length and the pulse into a short."""
    for capacitor in c.build.appliances:
        if capacitors.is_capacitor(capacitor):
            highest = _highest_v(c, capacitor)
            yield from _voltage(c, capacitor, highest)
            yield from _far(c, capacitor)
            yield from _pulse(c, capacitor, highest)


def _highest_v(c: Context, capacitor: Appliance) -> float:
    raised = charge_reach.overrun(c.build, c.wiring).get(f"{capacitor.id}_pos", 0.0)
    seen = max((s.amplifier_v[capacitor.id] for s in c.states if s.converged), default=0.0)
    smart = any(charge_reach.is_smart(c.build, g) for g in c.build.alternators)
    return max(seen, raised) if smart else seen


def _voltage(c: Context, capacitor: Appliance, highest: float) -> Iterator[Finding]:
    if capacitor.withstand_v is None or highest <= capacitor.withstand_v:
        return
    yield Finding(
        Level.STOP,
        "capacitor-voltage",
        f"{c.name(capacitor.id)} does not stand {c.volts(highest)}",
        f"its label says {c.volts(capacitor.withstand_v)}; above that it gasses and bursts",
        "a capacitor for a higher voltage; banks of cells with balancing for all of them",
        "maker's label; " + PRACTICE,
        "appliances",
        capacitor.id,
        "withstand_v",
    )


def _far(c: Context, capacitor: Appliance) -> Iterator[Finding]:
    own = [r for r in c.runs if r.feeds == (capacitor.id,) and not r.length_auto]
    length = sum(r.length_m for r in own)
    most = planned("capacitor_leads_m")
    if length > most:
        yield Finding(
            Level.NOTE,
            "capacitor-far",
            f"{c.name(capacitor.id)}: {c.show('length', length)} of leads there and back",
            f"their resistance and inductance take away what it is for; practice is "
            f"{c.show('allowance', most)} or less, at the amplifiers' terminals",
            "move it beside the block that feeds the amplifiers",
            PRACTICE,
            "runs",
            own[0].id,
            "length_m",
        )


def _pulse(c: Context, capacitor: Appliance, highest: float) -> Iterator[Finding]:
    """Its pulse where no fuse of the wire's own is in the way, and what batteries add to it."""
    if highest <= 0 or not c.wiring.feed[capacitor.id].runs:
        return
    results = {r.id: r for r in c.runs}
    entered = {run.id: run for run in c.build.runs}
    worst: dict[str, tuple[float, float, float]] = {}
    for each in struck(c.build, c.wiring, results, capacitor, highest):
        run, result = entered[each.run], results[each.run]
        k = adiabatic_k(run.metal, run.insulation.celsius, limit_c(run.insulation))
        stands = (k * result.area_mm2) ** 2
        given = each.pulse.through_a2s([_fuse(c, results[id]) for id in each.fuses])
        batteries = _battery_share(c, each.run) * stands if each.beside else 0.0
        share = (given + batteries) / stands if stands else inf
        if share > worst.get(each.run, (1.0,))[0]:
            worst[each.run] = share, given, stands
    for id, (_, given, stands) in worst.items():
        yield Finding(
            Level.FIX,
            "capacitor-pulse",
            f"{c.name(id)}: a short near {c.name(capacitor.id)} empties it through this wire",
            f"{figures(given)} A2s come out of it at {c.volts(highest)}, the wire withstands "
            f"{figures(stands)} A2s"
            + (
                ", and the fuse ahead of it lets the batteries add to that"
                if given <= stands
                else ": it overheats before any fuse of the battery's side counts"
            ),
            "a thicker wire there, or a fuse where the capacitor's current comes into it",
            "I2t = C V2 / 2R of an RC circuit; IEC 60949 withstand",
            "runs",
            id,
            "gauge",
        )


def _fuse(c: Context, r: RunResult) -> Fuse:
    assert r.fuse_a is not None
    points, _ = coordination.window_of(c.build, FuseFamily(r.fuse_family), r.fuse_a)
    return Fuse(r.id, points, r.fuse_a)


def _battery_share(c: Context, run: str) -> float:
    """Share of what a wire stands that a short from the batteries may use until its fuse opens."""
    return max(
        (
            s.opens_s / s.stands_s
            for s in c.segments
            if s.run == run and s.opens_s is not None and s.stands_s
        ),
        default=0.0,
    )
