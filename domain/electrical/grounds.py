"""Ground points: what returns through each, and how far it lifts above the battery's ground."""

from domain.build.choices import Polarity
from domain.build.records import Build
from domain.electrical.loads import takers
from domain.electrical.network import run_conductor, system
from domain.electrical.network.wiring import Wiring
from domain.electrical.sizing.sized import Sized
from domain.sheet import GroundResult


def ground_results(build: Build, wiring: Wiring, sized: Sized) -> tuple[GroundResult, ...]:
    """One result per ground point, at full tone."""
    results = []
    for point in build.grounds:
        ohm = system.body_ohm(point)
        here = [
            run
            for run in build.runs
            if run.polarity is Polarity.GROUND and point.id in (run.source, run.target)
        ]
        rise = sized.volts.get(point.id, 0.0)
        amplifiers = {a for run in here for a in wiring.returns.get(run.id, ())}
        results.append(
            GroundResult(
                id=point.id,
                name=point.name or point.id,
                amplifiers=tuple(a.id for a in takers(build) if a.id in amplifiers),
                wires=sum(run.count for run in here),
                resistance_ohm=ohm,
                resistance_auto=point.resistance_ohm is None,
                design_a=abs(rise) / max(ohm, run_conductor.LEAST_OHM),
                rise_v=rise,
            )
        )
    return tuple(results)
