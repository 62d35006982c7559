"""Protection study: does each fuse open before the wire it guards is hurt?

At every current from the one at which the fuse must open to the fault at the far end, the
slowest opening time of its family is set against what the weakest guarded wire stands.
"""

from collections.abc import Mapping, Sequence
from math import inf

from domain.build.choices import BlockKind
from domain.build.records import Build
from domain.electrical import fuses
from domain.electrical.network import nodal, system
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.network.wiring import Wiring
from domain.electrical.protection import coordination, opening, short_circuit
from domain.electrical.protection.any_short import Fuse, worst_short
from domain.electrical.protection.proofs import Harm, Proof, Verdict
from domain.electrical.protection.withstand import Wire, withstand_s
from domain.electrical.sizing.sized import Sized
from domain.sheet import FuseStudy

_Seen = Mapping[str, short_circuit.Thevenin]

LEAST_FAULT_A = 1.0
"""Less than this through a fuse means that no battery feeds the short through it [A]."""


def studies(
    build: Build,
    wiring: Wiring,
    circuit: nodal.Circuit,
    sized: Sized,
    items: Mapping[str, Conductor],
    proofs: Sequence[Proof],
) -> tuple[FuseStudy, ...]:
    """One study per fuse that a source reaches, in the order of the run schedule."""
    positive = [p for p in proofs if p.segment.positive and p.verdict is not Verdict.DEAD]
    guarding = guarded_by(positive, sized.fuse_a)
    wires = {p.segment.run: p.wire for p in positive}
    fused = [id for id, _ in wiring.order if id in sized.fuse_a and id in wires]
    guarded = {
        id: list(dict.fromkeys(p.segment.run for p in guarding.get(id, []))) or [id] for id in fused
    }
    nodes = sorted({n for id in fused for run in (id, *guarded[id]) for n in wiring.ends[run]})
    has_isolator = any(block.kind is BlockKind.ISOLATOR for block in build.blocks)
    joined = system.siemens(build, wiring, sized.tone_ohm, True)
    sources = [short_circuit.thevenin(build, circuit, joined, nodes)]
    if has_isolator:
        parted = system.siemens(build, wiring, sized.tone_ohm, False)
        sources.append(short_circuit.thevenin(build, circuit, parted, nodes))
    strong = short_circuit.thevenin(build, circuit, joined, nodes, strong=True)
    index = {name: i for i, name in enumerate(circuit.nodes)}
    ahead = next_ahead(positive)
    found = []
    for id in fused:
        safe = all(p.harm is Harm.NONE for p in guarding.get(id, []))
        found.append(
            _study(
                *(
                    build,
                    wiring,
                    sized,
                    items[id],
                    wires,
                    guarded[id],
                    (sources, strong),
                    index,
                    safe,
                    ahead.get(id, ""),
                )
            )
        )
    return tuple(found)


def guarded_by(proofs: Sequence[Proof], fuse_a: Mapping[str, float]) -> dict[str, list[Proof]]:
    """Run of a fuse -> the segments that it guards: the smallest on its own way, else each that
    limits what flows there."""
    found: dict[str, list[Proof]] = {}
    for proof in proofs:
        if proof.ahead or proof.lasting_a == inf:
            continue
        by = (min(proof.fuses, key=lambda id: fuse_a[id]),) if proof.fuses else proof.limits
        for id in by:
            if id in fuse_a:
                found.setdefault(id, []).append(proof)
    return found


def next_ahead(proofs: Sequence[Proof]) -> dict[str, str]:
    """Run of a fuse -> that of the next one ahead on its only way to the sources, or ""."""
    found: dict[str, str] = {}
    for way in dict.fromkeys(proof.fuses for proof in proofs):
        for id, ahead in zip(way, (*way[1:], ""), strict=False):
            found.setdefault(id, ahead)
    return found


def fault_far_a(
    sources: Sequence[Mapping[str, short_circuit.Thevenin]],
    nodes: Sequence[str],
    ends: tuple[int, int],
    ohm: float,
) -> float:
    """Least current that a fuse sees of a dead short at any of these nodes [A].

    What its own run (``ends``, ``ohm``) carries into it, not what other batteries add there;
    with isolators closed and open, a battery that is cut off then left out.
    """
    found = [each[node].through_a(*ends, 1 / ohm) for node in nodes for each in sources]
    return min((a for a in found if a > LEAST_FAULT_A), default=0.0)


def behind_fuse_a(
    strong: _Seen,
    index: Mapping[str, int],
    ends: tuple[str, str],
    near: str,
    wire_ohm: float,
    rating_a: float,
) -> float:
    """What the fuse at the node ``near`` of a wire between ``ends`` carries into a dead short
    right behind it [A]."""
    far = ends[1] if near == ends[0] else ends[0]
    return short_circuit.behind_fuse_a(
        strong[near],
        strong[far],
        (index[near], index[far]),
        wire_ohm,
        fuses.resistance_ohm(rating_a),
    )


def _study(
    build: Build,
    wiring: Wiring,
    sized: Sized,
    item: Conductor,
    wire_of: Mapping[str, Wire],
    guarded: list[str],
    seen: tuple[Sequence[_Seen], _Seen],
    index: Mapping[str, int],
    safe: bool,
    upstream: str,
) -> FuseStudy:
    run = item.run
    id = run.id
    rating, family = sized.fuse_a[id], sized.family[id]
    sources, strong = seen
    points, curve = coordination.window_of(build, family, rating)
    near, far = far_nodes(wiring, run.fused, id, guarded)
    a, b = wiring.ends[id]
    wire_ohm = sized.tone_ohm[id] * item.count
    through = behind_fuse_a(strong, index, (a, b), near, wire_ohm, rating)
    fault_near = short_circuit.greatest_a(build, through)
    breaks = run.breaks_a or fuses.breaking_a(family)
    fault_far = fault_far_a(sources, far, (index[a], index[b]), wire_ohm)
    wires = {each: wire_of[each] for each in guarded}
    must = opening.must_open_ratio(points)
    fuse = Fuse(id, points, rating)
    shorts = {at: worst_short((fuse,), wire, opening_only=True) for at, wire in wires.items()}
    weakest = min(shorts, key=lambda at: shorts[at].margin)
    if shorts[weakest].margin == inf:
        weakest = id if id in wires else guarded[0]
    worst = shorts[weakest]
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
        margin=_finite(worst.margin),
        margin_at_a=_finite(worst.current_a or must * rating),
        breaking_a=breaks,
        opens=fault_far >= must * rating,
        protects=safe and fault_far >= must * rating,
        breaks=fault_near <= breaks,
        first=id in sized.short_a,
        upstream=upstream,
        selective=_selective(build, sized, points, rating, upstream, fault_far),
    )


def far_nodes(
    wiring: Wiring, near_fused: bool, id: str, guarded: Sequence[str]
) -> tuple[str, list[str]]:
    """The node that a run's fuse is fed from, and the nodes at which a short must open it."""
    near = wiring.ends[id][0 if near_fused else 1]
    beyond = {node for run in guarded for node in wiring.ends[run]} - {near}
    return near, sorted(beyond) or [near]


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
    if opens == inf:
        return None
    begins = opening.fastest_s(ahead, fault_a / sized.fuse_a[upstream])
    return opens < begins


def _finite(value: float) -> float | None:
    return None if value == inf else value
