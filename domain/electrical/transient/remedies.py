"""What is tried against the dip: a capacitor, one more battery, thicker wire, more alternator."""

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from domain.build.records import Build
from domain.electrical import conductors, loads
from domain.electrical.charging import live_alternators
from domain.electrical.network.wiring import Wiring
from domain.electrical.sizing.size_and_solve import SolvedNetwork
from domain.reference.planning import planned

MORE_ALTERNATOR = 1.5
"""The larger alternator: half as much again. Common practice for the next size up."""


class Remedy(Struct, frozen=True):
    """One thing tried. ``id``: "none", "capacitor", "battery", "wires" or "alternator"."""

    id: str
    capacitor_f: float = 0.0
    battery: bool = False
    thicker: bool = False
    alternator: float = 1.0


AS_IT_IS = Remedy("none")


def remedies(build: Build) -> tuple[Remedy, ...]:
    """Everything that is tried on a build, first the build as it is."""
    found = [
        AS_IT_IS,
        Remedy("capacitor", capacitor_f=planned("capacitor_f")),
        Remedy("battery", battery=True),
        Remedy("wires", thicker=True),
    ]
    if live_alternators(build):
        found.append(Remedy("alternator", alternator=MORE_ALTERNATOR))
    return tuple(found)


def thicker_ohm(
    solved: SolvedNetwork, amplifiers: Sequence[str], ohms: Mapping[str, float]
) -> dict[str, float]:
    """Resistances with the wires that a hit runs through one stocked size thicker [ohm], by run.

    Those on the way to these amplifiers and back, and those of the alternators. Whether terminals
    take the size is not asked; the fuses stay.
    """
    found = dict(ohms)
    sized = solved.sized
    for id in _on_the_way(solved.wiring, amplifiers):
        item, gauge = solved.items[id], sized.gauge[id]
        larger = next(_larger(solved.wired.build, gauge), None)
        if larger is not None and id in found:
            bare = replace(item, measured_mm2=None)
            amperes = sized.programme_at_a.get(id, 0.0)
            found[id] = bare.resistance_ohm(larger, amperes, sized.fuse_a.get(id))
    return found


def _on_the_way(wiring: Wiring, amplifiers: Sequence[str]) -> list[str]:
    found: dict[str, None] = {}
    for id in amplifiers:
        found |= dict.fromkeys((*wiring.feed[id].runs, *wiring.ret[id].runs))
    for runs in wiring.charging.values():
        found |= dict.fromkeys(runs)
    return list(found)


def _larger(build: Build, gauge: str) -> Iterator[str]:
    area = conductors.area_mm2(gauge) * (2 - conductors.SAME_SIZE)
    for each in conductors.stock(build.header.wire_sizes):
        if conductors.area_mm2(each) > area:
            yield each


def beat_loads(build: Build) -> dict[str, tuple[loads.Load, loads.Load]]:
    """The amplifiers that play the kick: what each draws between hits and in one, by id.

    Those with a bass channel set, and those of a single channel, which play bass alone; where
    there are none, the one of the greatest rated power. In a hit their bass plays at rated power,
    the other channels at the average of the music; between hits the bass is silent. No fuse is so
    quick that it caps a hit of a tenth of a second.
    """
    bass = [a for a in build.amplifiers if a.sub_channels or a.channels == 1]
    if not any(map(loads.rated_w, bass)):
        bass = sorted(build.amplifiers, key=loads.rated_w)[-1:]
    found = {}
    average = loads.programme_fraction(build.header)
    for a in bass:
        full = loads.rated_efficiency(a)
        main_w, bass_w = a.channels * a.channel_w, a.sub_channels * a.sub_channel_w
        quiet_w = main_w * average / loads.efficiency_at(a, average) if bass_w else 0.0
        hit_w = quiet_w + bass_w / full if bass_w else main_w / full
        own = replace(loads.load(a, 1.0), cap_a=float("inf"))
        found[a.id] = replace(own, power_w=quiet_w), replace(own, power_w=hit_w)
    return found
