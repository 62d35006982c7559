"""What gets to a battery of what charges: at which voltage, and how much of it.

Current passes wires and closed contacts both ways, diodes and DC-DC chargers from input to output
only. Isolators are taken as closed, as they are while the engine runs.
"""

from collections.abc import Iterable, Iterator

from msgspec import Struct

from domain.build.choices import BlockKind, Chemistry, Polarity
from domain.build.records import Alternator, Battery, Block, Build
from domain.document.kept import kept
from domain.electrical import sources
from domain.electrical.network.converters import Converter, converters, is_converter
from domain.electrical.network.system import isolator_drop_v, one_way
from domain.electrical.network.wiring import Wiring, joined_nodes, stays_joined
from domain.reference.planning import planned

LOW = 0.2
"""State of charge of a battery that is as empty as one should get: it then takes the most."""


class Given(Struct, frozen=True):
    """The most that gets into a battery while driving [A], and what gives it, by id."""

    amperes: float
    by: tuple[str, ...]


def held_v(build: Build, joined: Wiring, starts: Iterable[tuple[str, float]]) -> dict[str, float]:
    """Positive node -> voltage that reaches it while no current flows [V], from nodes held so.

    What no current gets to is not in it. DC-DC chargers pass nothing on: their output is a start
    of its own.
    """
    links = _links(build, joined)
    found: dict[str, float] = {}
    ahead = list(starts)
    while ahead:
        node, volts = ahead.pop()
        if volts > found.get(node, 0.0):
            found[node] = volts
            ahead += [(other, volts - drop) for other, drop in links.get(node, ())]
    return found


@kept(4)
def _links(build: Build, joined: Wiring) -> dict[str, list[tuple[str, float]]]:
    """Positive node -> those that it passes current to, with what is lost there [V]."""
    links: dict[str, list[tuple[str, float]]] = {}
    for run in build.runs:
        if run.id in joined.ends and run.polarity is Polarity.POSITIVE:
            a, b = joined.ends[run.id]
            links.setdefault(a, []).append((b, 0.0))
            links.setdefault(b, []).append((a, 0.0))
    for block in build.blocks:
        if block.kind is BlockKind.ISOLATOR and not is_converter(block):
            a, b = f"{block.id}_in", f"{block.id}_out"
            links.setdefault(a, []).append((b, isolator_drop_v(block)))
            if not one_way(block):
                links.setdefault(b, []).append((a, 0.0))
    return links


def charged_by(build: Build, joined: Wiring, charger: Block) -> tuple[Battery, ...]:
    """The batteries that the output of a DC-DC charger gets to, not through another charger."""
    reached = held_v(build, joined, [(f"{charger.id}_out", 14.0)])
    return tuple(b for b in build.batteries if f"{b.id}_pos" in reached)


def chargers_at(build: Build, joined: Wiring, battery: Battery) -> tuple[Converter, ...]:
    """The DC-DC chargers whose output gets to a battery, not through another charger."""
    node = f"{battery.id}_pos"
    return tuple(
        each
        for each in converters(build)
        if node in held_v(build, joined, [(f"{each.id}_out", each.charge_v)])
    )


def alternators_at(build: Build, joined: Wiring, battery: Battery) -> tuple[Alternator, ...]:
    """The alternators whose current gets to a battery, not through a DC-DC charger."""
    node = f"{battery.id}_pos"
    return tuple(
        each
        for each in _live(build, joined)
        if node in held_v(build, joined, [(f"{each.id}_pos", each.regulated_v)])
    )


def is_smart(build: Build, alternator: Alternator) -> bool:
    """Whether its voltage is lowered on the road: as said of it, else of the vehicle's own.

    One of which is entered what it lowers or raises to is smart.

    A further one that is added has a regulator of its own; what charges a hybrid or electric
    vehicle is a converter.
    """
    if build.header.drive.high_voltage:
        return False
    if alternator.smart is not None:
        return alternator.smart
    if alternator.low_v is not None or alternator.high_v is not None:
        return True
    return build.header.smart_alternator and alternator.id == build.alternators[0].id


def road_v(build: Build, alternator: Alternator) -> float:
    """What an alternator holds on the road [V]: a smart one lowers it there."""
    if not is_smart(build, alternator):
        return alternator.regulated_v
    low = planned("smart_low_v") if alternator.low_v is None else alternator.low_v
    return min(alternator.regulated_v, low)


def overrun_v(build: Build, alternator: Alternator) -> float:
    """The most that it holds for seconds [V]: a smart one raises it as the vehicle slows."""
    if not is_smart(build, alternator):
        return alternator.regulated_v
    high = planned("smart_high_v") if alternator.high_v is None else alternator.high_v
    return max(alternator.regulated_v, high)


def lowered(build: Build) -> Build | None:
    """The build with what smart alternators hold on the road; ``None`` where there is none."""
    if not any(is_smart(build, g) for g in build.alternators):
        return None
    held = tuple(g.but(regulated_v=road_v(build, g)) for g in build.alternators)
    return build.but(alternators=held)


def on_the_road(build: Build, joined: Wiring) -> dict[str, float]:
    """Positive node -> what alternators hold there on the road, with no current [V]."""
    return held_v(build, joined, [(f"{g.id}_pos", road_v(build, g)) for g in _live(build, joined)])


def overrun(build: Build, joined: Wiring) -> dict[str, float]:
    """Positive node -> the most that alternators put there for seconds, with no current [V]."""
    return held_v(
        build, joined, [(f"{g.id}_pos", overrun_v(build, g)) for g in _live(build, joined)]
    )


def best_v(build: Build, joined: Wiring, battery: Battery, *, road: bool = False) -> float | None:
    """The highest voltage at which alternators and chargers keep a battery [V].

    With no current flowing; ``None`` where nothing that charges gets to it. ``road``: with
    what a smart alternator has lowered its voltage to.
    """
    starts = [
        (f"{g.id}_pos", road_v(build, g) if road else g.regulated_v) for g in _live(build, joined)
    ]
    found: dict[str, float] = held_v(build, joined, starts)
    waiting = list(converters(build))
    while fed := [each for each in waiting if f"{each.id}_in" in found]:
        starts += [(f"{each.id}_out", each.charge_v) for each in fed]
        waiting = [each for each in waiting if each not in fed]
        found = held_v(build, joined, starts)
    return found.get(f"{battery.id}_pos")


def given_a(build: Build, joined: Wiring, battery: Battery) -> Given:
    """The most that gets into a battery while driving, with no music [A].

    What alternators leave beside the vehicle, and what chargers give, shared by capacity with the
    batteries of its chemistry beside it; others may be full. No more than the voltage drives into
    a LiFePO4 battery at 20 % of its charge: (V - E) / R, wire left out, which is the safe side; and
    than one of lead takes at first.
    """
    alternators = alternators_at(build, joined, battery)
    chargers = chargers_at(build, joined, battery)
    volts = best_v(build, joined, battery)
    if volts is None:
        return Given(0.0, ())
    alone = sum(sources.alternator_limit_a(g, False) - g.vehicle_load_a for g in alternators)
    most = max(alone, 0.0) + sum(c.limit_a for c in chargers)
    alike = [b for b in _beside(build, joined, battery) if b.chemistry is battery.chemistry]
    share = battery.capacity_ah / sum(b.capacity_ah for b in alike)
    rest = sources.rest_voltage_v(battery.chemistry, LOW)
    driven = max(volts - rest, 0.0) / sources.internal_ohm(battery)
    if battery.chemistry is not Chemistry.LIFEPO4:
        driven = sources.bulk_charge_a(battery)
    by = (*(g.id for g in alternators), *(c.id for c in chargers))
    return Given(min(most * share, driven), by)


def side_by_side(build: Build, joined: Wiring) -> Iterator[tuple[Battery, ...]]:
    """The batteries that wire joins, with no isolator between but a switch; where several are."""
    seen: set[str] = set()
    for battery in build.batteries:
        if battery.id not in seen:
            together = _beside(build, joined, battery)
            seen |= {b.id for b in together}
            if len(together) > 1:
                yield together


def _beside(build: Build, joined: Wiring, battery: Battery) -> tuple[Battery, ...]:
    """The batteries that wire and closed switches join to one, itself too."""
    here = joined_nodes(build, joined, (f"{battery.id}_pos",), through=stays_joined)
    return tuple(b for b in build.batteries if f"{b.id}_pos" in here)


def _live(build: Build, joined: Wiring) -> list[Alternator]:
    return [g for g in build.alternators if g.id not in joined.idle]
