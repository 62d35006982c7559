"""What the proofs of protection ask of each run's wire, while sizes are being chosen."""

from collections.abc import Mapping
from functools import cached_property, lru_cache, partial

from domain.build.choices import Cover, FuseFamily, Insulation, Metal
from domain.build.records import Build, Run
from domain.electrical import sources
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.protection import circumstances, coordination
from domain.electrical.protection.bounds import Bounds, worst_return
from domain.electrical.protection.circulation import Currents
from domain.electrical.protection.cut_network import CutNetwork, Segment
from domain.electrical.protection.withstand import Wire
from domain.electrical.sizing.sized import Sized

HARDLY = 0.005
"""A current that moves by less than this share of it asks nothing new of a wire."""


class Asked:
    """What the proofs of protection ask of each run's wire."""

    def __init__(
        self,
        build: Build,
        items: Mapping[str, Conductor],
        net: CutNetwork,
        floor: Mapping[str, int],
        first: Bounds | None = None,
    ) -> None:
        """``floor``: the least places among their allowed gauges of runs found too thin.

        ``first`` are the bounds to begin with, of this network.
        """
        self.build, self.items, self.net = build, items, net
        self.floor = {
            id: min(at, len(items[id].allowed) - 1) for id, at in floor.items() if id in items
        }
        self.charge_a = {b.id: sources.bulk_charge_a(b) for b in build.batteries}
        self._last = first
        self._known: dict[tuple[object, ...], Bounds] = {}
        if first:
            self._known[_fuses(first.fuse_a, first.family)] = first
        self._wires: dict[str, tuple[Wire, ...]] = {}

    def bounds(self, sized: Sized) -> Bounds:
        """The bounds with the fuses and currents as they stand.

        Those of the round before do where fuses stayed and currents hardly moved: they bear on
        grounds only, and what is built in the end is proved with the last ones. Ground rings are
        taken to share alike, so that no size of one calls for another of the next.
        """
        fuse_a, family = dict(sized.fuse_a), dict(sized.family)
        programme, tone = dict(sized.amplifier_programme_a), dict(sized.amplifier_design_a)
        fuses = _fuses(fuse_a, family)
        before = self._known.get(fuses)
        if before and before is self._last:
            then = before.currents
            if _near(then.programme_a, programme) and _near(then.tone_a, tone):
                return before
        currents = Currents(programme, tone, self.charge_a)
        self._last = Bounds(self.build, self.net, fuse_a, family, currents, before=before)
        self._known[fuses] = self._last
        return self._last

    def short_in_rings(self, sized: Sized) -> dict[str, float]:
        """Ground runs in rings that are too thin as current really is shared: what they return [A].

        By run id.
        """
        if not self.rings:
            return {}
        ohm = partial(
            circumstances.edge_ohm,
            *(self.net, self.build, self.items, sized.gauge, sized.fuse_a, True),
        )
        currents = Currents(sized.amplifier_programme_a, sized.amplifier_design_a, self.charge_a)
        bounds = Bounds(self.build, self.net, sized.fuse_a, sized.family, currents, ohm)
        found = {}
        for id in self.rings:
            wire = coordination.wire(self.items[id], sized.gauge[id])
            need = bounds.need(id)
            if not need.holds(wire):
                found[id] = worst_return(wire, need.returned).amperes
        return found

    def wires(self, id: str) -> tuple[Wire, ...]:
        """A run's wire in each of its allowed gauges."""
        found = self._wires.get(id)
        if found is None:
            item = self.items[id]
            run = item.run
            found = self._wires[id] = _wires(
                *(item.allowed, run.metal, run.insulation, item.ambient_c, item.bundle),
                item.measured_mm2,
                item.cover,
            )
        return found

    @cached_property
    def rings(self) -> tuple[str, ...]:
        """Ground runs of a core with rings: what comes back is shared by their resistances."""
        ground = self.net.ground
        if not ground.ringed:
            return ()
        return tuple(dict.fromkeys(e.run for e in ground.edges if isinstance(e, Segment)))


def _fuses(
    fuse_a: Mapping[str, float], family: Mapping[str, FuseFamily]
) -> tuple[tuple[object, ...], ...]:
    return (*fuse_a.items(), *family.items())


def _near(old: Mapping[str, float], new: Mapping[str, float]) -> bool:
    return old.keys() == new.keys() and all(
        abs(new[id] - amperes) <= HARDLY * abs(amperes) for id, amperes in old.items()
    )


@lru_cache(maxsize=512)
def _wires(
    gauges: tuple[str, ...],
    metal: Metal,
    insulation: Insulation,
    ambient_c: float,
    bundle: int,
    measured_mm2: float | None,
    cover: Cover,
) -> tuple[Wire, ...]:
    """A wire in each of these gauges; what it is asked for does not depend on its length."""
    run = Run(id="r0", metal=metal, insulation=insulation)
    item = Conductor(run, 0.0, 0.0, ambient_c, gauges, None, measured_mm2, bundle, cover=cover)
    return tuple(coordination.wire(item, gauge) for gauge in gauges)
