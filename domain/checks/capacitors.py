"""Does each capacitor stand its voltage, sit where it helps, and hurt no wire when it is short?"""

from collections.abc import Iterator

from domain.build.records import Appliance
from domain.checks.context import Context
from domain.electrical import capacitors
from domain.electrical.protection.withstand import adiabatic_k, limit_c
from domain.findings import Finding, Level
from domain.reference.planning import planned

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
    return max((s.amplifier_v[capacitor.id] for s in c.states if s.converged), default=0.0)


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
    """All of its energy into the thinnest wire of a short beside it: I^2 t against (k S)^2."""
    results = {r.id: r for r in c.runs}
    feed = c.wiring.feed[capacitor.id].runs[:1]
    if not feed or highest <= 0:
        return
    at = set(c.wiring.ends[feed[0]]) - {f"{capacitor.id}_pos"}
    near = [id for id, ends in c.wiring.ends.items() if at & set(ends)]
    entered = {run.id: run for run in c.build.runs}
    for id in near:
        run, result = entered[id], results[id]
        path = results[feed[0]].resistance_ohm + (0.0 if id == feed[0] else result.resistance_ohm)
        given = capacitors.pulse_a2s(capacitor, highest, path)
        k = adiabatic_k(run.metal, run.insulation.celsius, limit_c(run.insulation))
        stands = (k * result.area_mm2 * run.count) ** 2
        if given > stands:
            yield Finding(
                Level.FIX,
                "capacitor-pulse",
                f"{c.name(id)}: a short behind {c.name(capacitor.id)} empties it through this wire",
                f"{given:.3g} A2s come out of it at {c.volts(highest)}, the wire stands "
                f"{stands:.3g} A2s: it is hurt before any fuse of the battery's side counts",
                "a thicker wire there, or a fuse at the capacitor's own terminal",
                "I2t = C V2 / 2R of an RC circuit; IEC 60949 withstand",
                "runs",
                id,
                "gauge",
            )
