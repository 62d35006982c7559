"""The run schedule and the amplifier list of a sheet, from the sized network."""

from collections.abc import Mapping, Sequence
from math import inf

from domain.build.choices import Playing, Polarity
from domain.build.records import Appliance, Build
from domain.electrical import conductors, loads
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.network.wiring import Wiring
from domain.electrical.parallel import one_open_a, side_by_side
from domain.electrical.protection.fuse_place import fuse_distance_m
from domain.electrical.protection.proofs import Proof, Verdict
from domain.electrical.sizing.sized import Sized, drops
from domain.reference.planning import planned
from domain.sheet import AmplifierLoad, RunResult


def amplifier_loads(build: Build, wiring: Wiring, sized: Sized) -> tuple[AmplifierLoad, ...]:
    """One line per amplifier, in the user's order."""
    return tuple(_load(build, wiring, sized, a) for a in build.amplifiers)


def appliance_loads(build: Build, wiring: Wiring, sized: Sized) -> tuple[AmplifierLoad, ...]:
    """One line per load that plays no music; its programme current is its average."""
    return tuple(_load(build, wiring, sized, v) for v in build.appliances)


def _load(build: Build, wiring: Wiring, sized: Sized, a: loads.Taker) -> AmplifierLoad:
    feed, ret = wiring.feed[a.id], wiring.ret[a.id]
    wired = bool(feed.battery and ret.battery)
    volts = planned("design_v")
    down, back = drops(wiring, sized, a.id) if wired else (None, None)
    return AmplifierLoad(
        id=a.id,
        name=a.name or a.id,
        rated_w=loads.rated_w(a),
        efficiency=loads.rated_efficiency(a),
        design_a=sized.amplifier_design_a[a.id]
        if wired
        else loads.current_a(loads.lasting_load(a, planned("full_tone_fraction")), volts),
        programme_a=sized.amplifier_programme_a[a.id]
        if wired and not isinstance(a, Appliance)
        else loads.current_a(loads.load_in_state(a, build.header, Playing.PROGRAMME), volts),
        idle_a=a.idle_a,
        feed=feed.battery,
        drop_v=None if down is None or back is None else down + back,
        drop_feed_v=down,
        drop_return_v=back,
        ground_offset_v=sized.volts[f"{a.id}_neg"] - _signal_v(build, sized) if wired else None,
        feed_runs=feed.runs,
        return_runs=ret.runs,
    )


def _signal_v(build: Build, sized: Sized) -> float:
    """Voltage of the signal source's ground at full tone [V]; the star point where none is."""
    marked = next((point.id for point in build.grounds if point.signal), "")
    return sized.volts.get(marked, 0.0)


def run_results(
    build: Build,
    wiring: Wiring,
    sized: Sized,
    items: Mapping[str, Conductor],
    proofs: tuple[Proof, ...],
) -> tuple[RunResult, ...]:
    """One line per run: positive runs in tree order from the battery, then ground runs."""
    of: dict[str, list[Proof]] = {}
    for proof in proofs:
        of.setdefault(proof.segment.run, []).append(proof)
    one_open: dict[str, float] = {}
    for runs in side_by_side(build, wiring):
        one_open |= one_open_a(runs, sized.design_a, sized.tone_ohm)
    return tuple(
        _run(build, wiring, sized, items[id], depth, of.get(id, []), one_open.get(id))
        for id, depth in wiring.order
    )


def guarded_by_a(proofs: Sequence[Proof]) -> float | None:
    """The most that fuses let into a run's wire, pieces ahead of its own fuse left out [A]."""
    known = [p.lasting_a for p in proofs if _fed(p) and not p.ahead]
    return max((amperes for amperes in known if amperes < inf), default=None)


def unguarded_m(proofs: Sequence[Proof]) -> float | None:
    """Wire of a run that no fuse guards, or that lies ahead of its own fuse [m]."""
    fed = [p for p in proofs if _fed(p)]
    if not fed:
        return None
    return sum(p.segment.length_m for p in fed if p.ahead or p.lasting_a == inf)


def _fed(proof: Proof) -> bool:
    return proof.segment.positive and proof.verdict is not Verdict.DEAD


def _run(
    build: Build,
    wiring: Wiring,
    sized: Sized,
    item: Conductor,
    depth: int,
    proofs: Sequence[Proof],
    one_open_a: float | None,
) -> RunResult:
    run = item.run
    id, gauge = run.id, sized.gauge[run.id]
    design, programme = sized.design_a[id] / item.count, sized.programme_a[id] / item.count
    fused = run.fused or run.far_fused
    users = wiring.feeds if run.polarity is Polarity.POSITIVE else wiring.returns
    return RunResult(
        id=id,
        name=build.name_of(run),
        polarity=run.polarity.value,
        source=run.source,
        target=run.target,
        depth=depth,
        feeds=users.get(id, ()),
        length_m=item.length_m,
        length_auto=item.assumed,
        wire_m=item.wire_m,
        gauge=gauge,
        gauge_auto=run.gauge is None,
        gauge_why=sized.why[id],
        area_mm2=conductors.area_mm2(gauge),
        metal=run.metal.value,
        resistance_ohm=sized.tone_ohm[id],
        ampacity_a=item.ampacity_a(gauge),
        ambient_c=item.ambient_c,
        temperature_c=item.temperature_c(gauge, design),
        design_a=design,
        programme_a=programme,
        drop_v=sized.design_a[id] * sized.tone_ohm[id],
        heat_w=sized.design_a[id] ** 2 * sized.tone_ohm[id],
        fuse_a=sized.fuse_a[id] if fused else None,
        fuse_auto=fused and run.fuse_a is None,
        fuse_family=sized.family[id].value if fused else "",
        fuse_least_a=sized.least_a.get(id, 0.0),
        fuse_distance_m=fuse_distance_m(build, run) if run.fused else None,
        protected_a=guarded_by_a(proofs),
        unprotected_m=unguarded_m(proofs),
        conductor_kg=item.conductor_kg(gauge),
        existing=run.existing,
        count=item.count,
        bundle=item.bundle,
        bundle_auto=run.bundle is None,
        one_open_a=one_open_a,
        cover=item.cover.value,
    )
