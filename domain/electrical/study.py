"""Protection study: does each fuse open before the wire it guards is hurt?

At every current from the one at which the fuse must open to the fault at the far end, the
slowest opening time of its family is set against what the weakest guarded wire stands.
"""

from collections.abc import Mapping
from math import inf

from domain.build import Build
from domain.electrical import coordination, faults, fuses, network, opening, system
from domain.electrical.sizing import Sized
from domain.electrical.system import Conductor
from domain.electrical.wiring import Wiring
from domain.electrical.withstand import withstand_s
from domain.sheet import FuseStudy


def studies(
    build: Build,
    wiring: Wiring,
    circuit: network.Circuit,
    sized: Sized,
    items: Mapping[str, Conductor],
) -> tuple[FuseStudy, ...]:
    """One study per fuse, in the order of the run schedule."""
    guarded: dict[str, list[str]] = {}
    for id, guard in sized.guards.items():
        if guard.by:
            guarded.setdefault(guard.by, []).append(id)
    fused = [id for id, _ in wiring.order if id in sized.fuse_a and id in guarded]
    nodes = {node for id in fused for run in (id, *guarded[id]) for node in wiring.ends[run]}
    siemens = system.siemens(build, wiring, sized.tone_ohm, True)
    sources = faults.thevenin(build, circuit, siemens, sorted(nodes))
    return tuple(_study(build, wiring, sized, items, id, guarded[id], sources) for id in fused)


def _study(
    build: Build,
    wiring: Wiring,
    sized: Sized,
    items: Mapping[str, Conductor],
    id: str,
    guarded: list[str],
    sources: Mapping[str, faults.Thevenin],
) -> FuseStudy:
    rating, family = sized.fuse_a[id], sized.family[id]
    points, curve = coordination.window_of(build, family, rating)
    near = wiring.ends[id][0 if items[id].run.fused else 1]
    fault_near = sources[near].fault_a(fuses.resistance_ohm(rating))
    ends = [wiring.ends[run] for run in guarded]
    fault_far = min(min(sources[a].fault_a(), sources[b].fault_a()) for a, b in ends)
    wires = {run: coordination.wire(items[run], sized.gauge[run]) for run in guarded}
    must = opening.must_open_ratio(points)
    worst_ratio, worst_a, weakest = inf, must * rating, id if id in wires else guarded[0]
    for current in coordination.currents(points, rating, max(fault_far, must * rating), fault_near):
        opens = opening.slowest_s(points, current / rating)
        for run, each in wires.items():
            margin = withstand_s(each, current) / opens
            if margin < worst_ratio:
                worst_ratio, worst_a, weakest = margin, current, run
    upstream = sized.guards[id].ahead if sized.guards[id].by == id else ""
    return FuseStudy(
        id=id,
        rating_a=rating,
        family=family.value,
        curve=curve,
        guarded=tuple(guarded),
        weakest=weakest,
        fault_near_a=fault_near,
        fault_far_a=fault_far,
        must_open_a=_finite(must * rating),
        opens_far_s=_finite(opening.slowest_s(points, fault_far / rating)),
        stands_far_s=_finite(withstand_s(wires[weakest], fault_far)),
        margin=_finite(worst_ratio),
        margin_at_a=_finite(worst_a),
        breaking_a=fuses.breaking_a(family),
        opens=fault_far >= must * rating,
        protects=worst_ratio >= 1.0 and fault_far >= must * rating,
        breaks=fault_near <= fuses.breaking_a(family),
        upstream=upstream,
        selective=_selective(build, sized, points, rating, upstream, fault_far),
    )


def _selective(
    build: Build,
    sized: Sized,
    points: opening.Window,
    rating: float,
    upstream: str,
    fault_a: float,
) -> bool | None:
    """Whether this fuse is open before the one upstream begins to, at a fault behind it."""
    if not upstream:
        return None
    ahead, _ = coordination.window_of(build, sized.family[upstream], sized.fuse_a[upstream])
    if not opening.knows_fast_side(ahead):
        return None
    opens = opening.slowest_s(points, fault_a / rating)
    begins = opening.fastest_s(ahead, fault_a / sized.fuse_a[upstream])
    return opens < begins


def _finite(value: float) -> float | None:
    return None if value == inf else value
