"""Supply: what alternator and batteries give against what the vehicle and the music take."""

from collections.abc import Callable, Mapping, Sequence
from math import inf

from msgspec import Struct

from domain.build.choices import Chemistry, Playing, Polarity
from domain.build.records import Alternator, Battery, Build, Run
from domain.electrical import loads, sources
from domain.electrical.network.charger_draw import drawn
from domain.electrical.network.converters import Converter, converters
from domain.electrical.network.states import vehicle_load_a
from domain.electrical.network.wiring import joined_nodes, stays_joined, wiring
from domain.electrical.sources import HALF
from domain.reference.planning import planned
from domain.sheet import AmplifierLoad, NetworkState, Supply


def live_batteries(build: Build) -> tuple[Battery, ...]:
    """The batteries that something is joined to on both sides."""
    idle = wiring(build).idle
    return tuple(b for b in build.batteries if b.id not in idle)


def live_alternators(build: Build) -> tuple[Alternator, ...]:
    """The alternators that something is joined to on both sides."""
    idle = wiring(build).idle
    return tuple(g for g in build.alternators if g.id not in idle)


def link_currents_a(build: Build, way: Sequence[str], amperes: float) -> dict[str, float]:
    """What each run on the way to a further battery carries when it takes a current [A], by id.

    ``way`` runs from that battery to the starter battery, then along its ground. A DC-DC charger
    lets through what it is rated for, and ahead of it flows what its input then takes, with the
    engine running and the voltage as low as it still works at.
    """
    sources_of = {run.id: run.source for run in build.runs if run.polarity is Polarity.POSITIVE}
    chargers = {c.id: c for c in converters(build)}
    ahead = least = min((amperes, *(_limit(chargers, sources_of.get(id)) for id in way)))
    found: dict[str, float] = {}
    for id in way:
        found[id] = ahead if id in sources_of else least
        charger = chargers.get(sources_of.get(id, ""))
        if charger:
            ahead = charger.takes_a(ahead, planned("charger_input_v"))
    return found


def charger_gives_a(build: Build, way: Sequence[str]) -> float:
    """What a DC-DC charger on the way to a battery gives one that is empty enough [A]; else 0.

    It gives what it is rated for, whatever the battery takes later: makers of chargers have both
    their sides fused and wired for that (common practice).
    """
    sources_of = {run.id: run.source for run in build.runs if run.polarity is Polarity.POSITIVE}
    chargers = {c.id: c for c in converters(build)}
    least = min((_limit(chargers, sources_of.get(id)) for id in way), default=inf)
    return least if least < inf else 0.0


def _limit(chargers: Mapping[str, Converter], device: str | None) -> float:
    charger = chargers.get(device or "")
    return charger.limit_a if charger else inf


def link_current_a(build: Build, battery: Battery, given_a: float) -> float:
    """The most that the runs which join a further battery carry between the batteries [A].

    The greater of its charge, no more than the alternators give, and what evens the batteries
    out when one is full and the other half empty, whichever way round. What the music draws
    through them is in the solved states.
    """
    charge = min(sources.greatest_charge_a(battery), given_a)
    starter = build.batteries[0]
    return max(charge, equalising_a(starter, battery), equalising_a(battery, starter))


def equalising_a(full: Battery, low: Battery) -> float:
    """What a full battery drives into a half-empty one beside it [A]: (E1 - E2) / (R1 + R2).

    E are rest voltages, R1 the one's internal resistance, R2 what the other shows to charging; the
    wire between them is left out, which is the safe side. A LiFePO4 battery shows no more than its
    internal resistance until its own protection limits it.
    """
    drive_v = sources.rest_voltage_v(full.chemistry, 1.0) - sources.rest_voltage_v(
        low.chemistry, HALF
    )
    if drive_v <= 0:
        return 0.0
    takes = (
        sources.internal_ohm(low)
        if low.chemistry is Chemistry.LIFEPO4
        else sources.charging_ohm(low, HALF)
    )
    amperes = drive_v / (sources.internal_ohm(full) + takes)
    return min(amperes, sources.greatest_charge_a(low))


def short_at_batteries_a(build: Build) -> dict[str, float]:
    """Run id -> what a dead short behind a fuse of its own that no other fuse precedes draws [A].

    Full batteries behind their least internal resistance, all that are joined to the fuse but
    through its own run, and all alternators; wire is left out, which is the safe side. Runs whose
    fuses lie behind other fuses are left out.
    """
    joined = wiring(build)
    alternators = sum(g.rated_a for g in build.alternators)
    each = {
        f"{b.id}_pos": sources.rest_voltage_v(b.chemistry, 1.0) / sources.spread(b)[0]
        for b in build.batteries
    }
    bare = joined_nodes(build, joined, tuple(each), lambda run: not (run.fused or run.far_fused))
    found: dict[str, float] = {}
    for run in build.runs:
        if run.id not in joined.ends or run.polarity is not Polarity.POSITIVE:
            continue
        near, far = joined.ends[run.id]
        for start in [near] * run.fused + [far] * run.far_fused:
            if start in bare:
                reached = joined_nodes(build, joined, (start,), _but(run.id))
                amperes = sum(a for node, a in each.items() if node in reached) + alternators
                found[run.id] = max(found.get(run.id, 0.0), amperes)
    return found


def _but(id: str) -> Callable[[Run], bool]:
    return lambda run: run.id != id


def minutes_to_half(
    build: Build, current_a: float, among: Sequence[Battery] | None = None
) -> float | None:
    """Minutes from the planning charge to half, these batteries together, else all that are live.

    ``None`` if they are not drained.
    """
    batteries = live_batteries(build) if among is None else among
    capacity = sum(b.capacity_ah for b in batteries)
    if current_a < LEAST_DRAIN_A or not capacity:
        return None
    exponent = sum(b.capacity_ah * sources.peukert(b) for b in batteries) / capacity
    share = planned("state_of_charge") - HALF
    return 60 * share * sources.hours_to_empty(capacity, current_a, exponent)


def with_alternators(build: Build) -> tuple[Battery, ...]:
    """The batteries that give where alternators lack: those behind no DC-DC charger."""
    inside = drawn(build, wiring(build), {}).inside
    return tuple(b for b in live_batteries(build) if b.id not in inside)


class Standing(Struct, frozen=True):
    """Batteries that are joined while the vehicle stands, what is drawn of them for good [A]."""

    batteries: tuple[Battery, ...]
    amperes: float
    minutes: float | None


def standing(build: Build) -> Standing:
    """The batteries that are first at half charge while the vehicle stands, no music and no key.

    By the loads that work always, at the design voltage, and by what stays on in the vehicle.
    Only a switch leaves batteries joined: behind all other isolators each counts with what is drawn
    on its own side, also behind a diode, where the one on the side of the loads gives first.
    """
    volts = planned("design_v")
    joined, live = wiring(build), live_batteries(build)
    taken = {
        v.id: loads.current_a(
            loads.load_in_state(v, build.header, Playing.SILENT, engine_runs=False), volts
        )
        for v in build.appliances
    }
    vehicle, sides, seen = vehicle_load_a(build, "off"), list[Standing](), set[str]()
    for battery in live:
        if battery.id in seen:
            continue
        nodes = joined_nodes(build, joined, (f"{battery.id}_pos",), through=stays_joined)
        together = tuple(b for b in live if f"{b.id}_pos" in nodes)
        seen |= {b.id for b in together}
        amperes = sum(a for id, a in taken.items() if f"{id}_pos" in nodes)
        amperes += vehicle if build.batteries[0] in together else 0.0
        sides.append(Standing(together, amperes, minutes_to_half(build, amperes, together)))
    return min(
        sides, key=lambda each: inf if each.minutes is None else each.minutes, default=NO_STANDING
    )


NO_STANDING = Standing((), 0.0, None)


def first_to_half(build: Build, state: NetworkState) -> tuple[Battery, float] | None:
    """The battery that is first at half charge, or at the cut-off voltage, and its minutes.

    From the planning charge on, at the currents of a state. ``None`` where no battery gives
    anything. Behind an open isolator each battery has its own loads, so that they are not taken
    together here.
    """
    times = []
    for b in build.batteries:
        amperes = state.battery_a[b.id]
        if amperes > LEAST_DRAIN_A:
            hours = sources.hours_to_empty(b.capacity_ah, amperes, sources.peukert(b))
            times.append((60 * usable_share(b, amperes) * hours, b))
    if not times:
        return None
    minutes, battery = min(times, key=lambda each: each[0])
    return battery, minutes


def usable_share(battery: Battery, current_a: float) -> float:
    """Share of its charge that a battery gives at a current before the music should stop.

    From the planning charge to half, or to where its posts fall to the cut-off voltage.
    """
    start = planned("state_of_charge")
    rest_at_cut_v = planned("cut_off_v") + current_a * sources.internal_ohm(battery)
    if sources.rest_voltage_v(battery.chemistry, HALF) >= rest_at_cut_v:
        return start - HALF
    low, high = HALF, start
    if sources.rest_voltage_v(battery.chemistry, high) <= rest_at_cut_v:
        return 0.0
    for _ in range(50):
        middle = (low + high) / 2
        if sources.rest_voltage_v(battery.chemistry, middle) < rest_at_cut_v:
            low = middle
        else:
            high = middle
    return start - high


LEAST_DRAIN_A = 0.01
"""A battery that gives less than this is not being drained [A]."""


def supply(
    build: Build,
    amplifiers: tuple[AmplifierLoad, ...],
    off_programme: NetworkState,
    off_full_output: NetworkState,
) -> Supply:
    """The supply sheet of a build; sources that nothing joins count for nothing."""
    batteries, alternators = live_batteries(build), live_alternators(build)
    played = first_to_half(build, off_programme)
    vehicle = vehicle_load_a(build, "cruise")
    programme = sum(a.programme_a for a in amplifiers)
    average = {a.id: a.programme_a for a in amplifiers}
    charging = drawn(build, wiring(build), average)
    kept = drawn(build, wiring(build), average, charging=False)
    taken = vehicle + charging.amperes
    here = with_alternators(build)
    cruise = sum(sources.alternator_limit_a(g, False) for g in alternators)
    idle = sum(sources.alternator_limit_a(g, True) for g in alternators)
    sags = [
        sources.rest_voltage_v(b.chemistry, planned("state_of_charge"))
        - off_full_output.battery_v[b.id]
        for b in batteries
    ]
    return Supply(
        capacity_ah=sum(b.capacity_ah for b in batteries),
        vehicle_a=vehicle,
        programme_a=programme,
        design_a=sum(a.design_a for a in amplifiers),
        cruise_a=cruise,
        idle_a=idle,
        cruise_balance_a=cruise - taken,
        idle_balance_a=idle - taken,
        minutes_to_half_idle=minutes_to_half(build, taken - idle, here),
        minutes_to_half_cruise=minutes_to_half(build, taken - cruise, here),
        play_minutes=played[1] if played else None,
        sag_v=max(sags, default=0.0),
        chargers_a=charging.chargers_a,
        chargers_full_a=kept.chargers_a,
        behind_a=charging.behind_a,
    )
