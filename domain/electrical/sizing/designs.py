"""The chosen gauges beside their neighbours: one size up everywhere, and one size for all."""

from collections.abc import Mapping
from math import inf

from domain.build.records import Build
from domain.electrical import conductors, loads
from domain.electrical.network import nodal, run_conductor, system
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.network.wiring import Wiring
from domain.electrical.sizing.sized import Sized
from domain.reference.planning import planned
from domain.sheet import Design


def designs(
    build: Build,
    wiring: Wiring,
    circuit: nodal.Circuit,
    sized: Sized,
    items: Mapping[str, Conductor],
) -> tuple[Design, ...]:
    """The chosen design, one size up, and all of one size; none where nothing is left to choose."""
    free = [id for id, item in items.items() if not (item.fixed or item.run.existing)]
    if not free or not loads.takers(build) or not build.batteries:
        return ()
    sizes = conductors.stock(build.header.wire_sizes)
    index = {id: sizes.index(sized.gauge[id]) for id in free}
    up = {id: sizes[min(i + 1, len(sizes) - 1)] for id, i in index.items()}
    thickest = sizes[max(index.values())]
    return tuple(
        _design(build, wiring, circuit, sized, items, title, gauges)
        for title, gauges in (
            ("lightest", {id: sized.gauge[id] for id in free}),
            ("one size up", up),
            (f"all {thickest.removeprefix('AWG ')}", dict.fromkeys(free, thickest)),
        )
    )


def _design(
    build: Build,
    wiring: Wiring,
    circuit: nodal.Circuit,
    sized: Sized,
    items: Mapping[str, Conductor],
    title: str,
    gauges: Mapping[str, str],
) -> Design:
    ohms = {}
    copper = 0.0
    for id, item in items.items():
        gauge, fuse = gauges.get(id, sized.gauge[id]), sized.fuse_a.get(id)
        ohms[id] = item.resistance_ohm(gauge, sized.tone_at_a[id], None if fuse == inf else fuse)
        if not item.run.existing:
            copper += item.conductor_kg(gauge)
    held = {b.id: nodal.held_law(planned("design_v")) for b in build.batteries}
    tone = system.with_laws(circuit, held | system.design_laws(build, 1.0), {})
    start = sized.last_volts or system.start_volts(wiring, planned("design_v"))
    siemens = system.siemens(build, wiring, ohms, True)
    solution = nodal.solve(tone, siemens, start, sized.last_volts is not None)
    volts = dict(zip(wiring.nodes, solution.volts, strict=True))
    worst = 0.0
    for a in loads.takers(build):
        battery = wiring.feed[a.id].battery
        if battery and wiring.ret[a.id].battery:
            post = volts[f"{battery}_pos"] - volts[f"{battery}_neg"]
            worst = max(worst, post - (volts[f"{a.id}_pos"] - volts[f"{a.id}_neg"]))
    fits = all(
        conductors.fits(gauge, limit)
        for id, gauge in gauges.items()
        for limit in run_conductor.terminal_limits(build, items[id].run).values()
    )
    return Design(title, copper, worst, dict(gauges), fits)
