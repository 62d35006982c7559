"""Supply: what alternator and batteries give against what the vehicle and the music take."""

from domain.build.records import Battery, Build
from domain.electrical import sources
from domain.electrical.network.states import vehicle_load_a
from domain.reference.planning import planned
from domain.sheet import AmplifierLoad, NetworkState, Supply


def discharge_h(capacity_ah: float, current_a: float, exponent: float, rated_h: float) -> float:
    """Hours to empty at a steady current: H (C / (I H))^k, Peukert referred to the H-hour rate.

    Valid for positive currents; at the rated current it gives exactly H.
    """
    return float(rated_h * (capacity_ah / (current_a * rated_h)) ** exponent)


def minutes_to_half(build: Build, current_a: float) -> float | None:
    """Minutes from full to half charge of all batteries together; ``None`` when not drained."""
    capacity = sum(b.capacity_ah for b in build.batteries)
    if current_a < LEAST_DRAIN_A or not capacity:
        return None
    exponent = sum(b.capacity_ah * _exponent(b) for b in build.batteries) / capacity
    return 60 * 0.5 * discharge_h(capacity, current_a, exponent, _hours())


def first_to_half(build: Build, state: NetworkState) -> tuple[Battery, float] | None:
    """The battery that is first from full to half at the currents of a state, and its minutes.

    ``None`` where no battery gives anything. Behind an open isolator each battery has its own
    loads, so that they are not taken together here.
    """
    times = [
        (60 * 0.5 * discharge_h(b.capacity_ah, state.battery_a[b.id], _exponent(b), _hours()), b)
        for b in build.batteries
        if state.battery_a[b.id] > LEAST_DRAIN_A
    ]
    if not times:
        return None
    minutes, battery = min(times, key=lambda each: each[0])
    return battery, minutes


def _exponent(battery: Battery) -> float:
    return planned(f"peukert_{battery.chemistry.value}")


def _hours() -> float:
    return planned("rated_hours")


LEAST_DRAIN_A = 0.01
"""A battery that gives less than this is not being drained [A]."""


def supply(
    build: Build,
    amplifiers: tuple[AmplifierLoad, ...],
    off_programme: NetworkState,
    off_full_output: NetworkState,
) -> Supply:
    """The supply sheet of a build."""
    played = first_to_half(build, off_programme)
    vehicle = vehicle_load_a(build, "cruise")
    programme = sum(a.programme_a for a in amplifiers)
    cruise = sum(sources.alternator_limit_a(g, False) for g in build.alternators)
    idle = sum(sources.alternator_limit_a(g, True) for g in build.alternators)
    sags = [
        sources.rest_voltage_v(b.chemistry, planned("state_of_charge"))
        - off_full_output.battery_v[b.id]
        for b in build.batteries
    ]
    return Supply(
        capacity_ah=sum(b.capacity_ah for b in build.batteries),
        vehicle_a=vehicle,
        programme_a=programme,
        design_a=sum(a.design_a for a in amplifiers),
        cruise_a=cruise,
        idle_a=idle,
        cruise_balance_a=cruise - vehicle - programme,
        idle_balance_a=idle - vehicle - programme,
        minutes_to_half_idle=minutes_to_half(build, programme + vehicle - idle),
        minutes_to_half_cruise=minutes_to_half(build, programme + vehicle - cruise),
        play_minutes=played[1] if played else None,
        sag_v=max(sags, default=0.0),
    )
