"""Does each battery get a voltage, a neighbour and a place that it stands?"""

from collections.abc import Iterator

from domain.build.choices import Chemistry
from domain.build.records import Battery, Zone
from domain.checks.context import Context
from domain.electrical import sources
from domain.electrical.covers import engine_bay
from domain.electrical.network import charge_reach
from domain.electrical.network.wiring import joined_nodes, stays_joined
from domain.findings import Finding, Level
from domain.reference.planning import planned

PRACTICE = "common practice"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about charge voltage, mixed chemistries, hot places, gas, and warm posts."""
    yield from _regulators(c)
    yield from _too_high(c)
    yield from _mixed(c)
    for battery in c.build.batteries:
        yield from _place(c, battery)
    yield from _held(c)
    yield from _warm_ends(c)


def _regulators(c: Context) -> Iterator[Finding]:
    least = planned("charge_least_v")
    for g in c.build.alternators:
        if g.regulated_v < least and c.build.batteries:
            yield Finding(
                Level.FIX,
                "no-charge",
                f"{c.name(g.id)} holds {g.regulated_v:g} V, which charges no battery",
                f"a 12 V lead-acid battery is charged from {least:g} V up, LiFePO4 higher still; "
                "what the balance shows to spare never gets in",
                "enter what the meter shows at the posts while driving; where the vehicle lowers "
                "it on purpose, charge further batteries through a charger of their own",
                "charge range 13.2 to 14.4 V at 12 V, battery handbook",
                "alternators",
                g.id,
                "regulated_v",
            )


def _too_high(c: Context) -> Iterator[Finding]:
    for battery in c.build.batteries:
        chemistry = battery.chemistry.value
        most = planned(f"charge_most_v_{chemistry}")
        seen = [(s.battery_v[battery.id], s.title) for s in c.states if s.converged]
        full = charge_reach.best_v(c.build, c.wiring, battery)
        if full is not None and battery.id not in c.wiring.idle:
            seen.append((full, "once it is full"))
        volts, state = max(seen, default=(0.0, ""))
        if volts > most + 0.005:
            harm, source = _TOO_HIGH[battery.chemistry]
            yield Finding(
                Level.FIX,
                "charge-high",
                f"{c.name(battery.id)} is charged with more than it withstands",
                f"{volts:.2f} V at its posts ({state}) against {most:g} V{harm}",
                f"a lower charging voltage, or a charger made for {chemistry} between the two",
                source,
                "batteries",
                battery.id,
                "chemistry",
            )


_TOO_HIGH = {
    Chemistry.LIFEPO4: (
        ", 3.65 V a cell",
        "LiFePO4 charge voltage 14.2 to 14.6 V, pack makers' sheets",
    ),
    Chemistry.AGM: (
        ": it dries out, and cannot be topped up",
        "AGM charge voltage 14.4 to 14.8 V, battery makers' sheets",
    ),
    Chemistry.FLOODED: (
        ": it boils dry; only to equalise it gets 15 V, for two hours at most",
        "charge voltage of flooded batteries 14.4 to 14.8 V (typical, from memory)",
    ),
}
"""What too high a voltage does, and the source of the highest."""


def _mixed(c: Context) -> Iterator[Finding]:
    """LiFePO4 and lead-acid on one piece of wire, with no isolator between but a switch."""
    for battery in c.build.batteries:
        if battery.chemistry is not Chemistry.LIFEPO4:
            continue
        reached = joined_nodes(
            *(c.build, c.wiring, (f"{battery.id}_pos",)),
            through=stays_joined,
        )
        others = [
            other
            for other in c.build.batteries
            if other.chemistry is not Chemistry.LIFEPO4 and f"{other.id}_pos" in reached
        ]
        if others:
            lithium, lead = (
                c.volts(sources.rest_voltage_v(each, 1.0))
                for each in (battery.chemistry, others[0].chemistry)
            )
            yield Finding(
                Level.FIX,
                "mixed-chemistry",
                f"{c.name(battery.id)} is joined to {c.name(others[0].id)} for good",
                f"full, LiFePO4 rests at {lithium} and {others[0].chemistry.value} at {lead}: the "
                "one keeps charging the other, and neither gets the voltage that it wants",
                "put an isolator made for the pair, or a charger, between them",
                PRACTICE,
                "batteries",
                battery.id,
                "chemistry",
            )


def _place(c: Context, battery: Battery) -> Iterator[Finding]:
    zone = next((z for z in c.build.zones if z.id == battery.zone), None)
    if zone is None:
        return
    yield from _heat(c, battery, zone)
    if battery.chemistry is Chemistry.FLOODED and not engine_bay(zone):
        air = air_m3_h(battery.capacity_ah)
        yield Finding(
            Level.NOTE,
            "battery-gas",
            f"{c.name(battery.id)} is flooded and sits in {zone.name or zone.id}",
            "while it is charged it gives off hydrogen, and acid if it tips; it needs "
            f"{air:.2f} m3 ({air / FOOT_M3:.0f} cu ft) of fresh air an hour",
            "a sealed box vented to the outside, or an AGM battery, where people ride",
            "IEC 62485-2, ventilation; " + PRACTICE,
            "batteries",
            battery.id,
            "chemistry",
        )


FOOT_M3 = 0.3048**3
"""A cubic foot [m3]."""


def air_m3_h(capacity_ah: float) -> float:
    """Fresh air that a vented battery of six cells needs while it is charged [m3/h].

    Q = v q s n I_gas C / 1000 (IEC 62485-2): gassing current in mA for each Ah.
    """
    return planned("gas_air_m3_ah") * 6 * planned("gas_ma_ah") * capacity_ah / 1000


def _heat(c: Context, battery: Battery, zone: Zone) -> Iterator[Finding]:
    """By chemistry; where its own limit was entered, that is judged instead."""
    here = f"{c.show('temperature', zone.ambient_c)} in {zone.name or zone.id}"
    if battery.chemistry is Chemistry.LIFEPO4:
        most = planned("battery_max_c_LiFePO4")
        if battery.hottest_c is None and zone.ambient_c >= most:
            yield Finding(
                Level.FIX,
                "battery-hot",
                f"{c.name(battery.id)} sits too hot",
                f"{here}; makers of LiFePO4 packs end at {c.show('temperature', most)} for use and "
                "at 45 C (113 F) for charging",
                "a cooler place, inside the vehicle",
                "LiFePO4 pack makers' sheets",
                "batteries",
                battery.id,
                "zone",
            )
    elif battery.hottest_c is None and zone.ambient_c > planned("battery_max_c_lead"):
        share = 0.5 ** ((zone.ambient_c - 25) / planned("battery_half_life_k"))
        yield Finding(
            Level.NOTE,
            "battery-warm",
            f"{c.name(battery.id)} sits warmer than it lasts",
            f"{here}; makers of lead-acid batteries end at "
            f"{c.show('temperature', planned('battery_max_c_lead'))}, and it lasts {share:.0%} of "
            "its years if it stays so warm",
            "a cooler place, or a heat shield and a box round it",
            "lead-acid batteries last half as long for every 10 K (typical, from memory)",
            "batteries",
            battery.id,
            "zone",
        )


def _held(c: Context) -> Iterator[Finding]:
    """A part that holds a battery is worked out with what that pulls at it in a crash."""
    batteries, most = {b.id for b in c.build.batteries}, planned("crash_ratio")
    part_of = {panel.id: panel.part for panel in c.build.panels}
    device_of = {footprint.id: footprint.device for footprint in c.build.footprints}
    mounted = [(part_of.get(m.panel), device_of.get(m.footprint)) for m in c.build.mounts]
    for part in c.build.parts:
        on_it = [part.carries, *(device for id, device in mounted if id == part.id)]
        battery = next((id for id in on_it if id in batteries), None)
        if battery and part.shock_ratio < most:
            yield Finding(
                Level.NOTE,
                "battery-held",
                f"{c.name(part.id)} holds {c.name(battery)}: would it in a crash?",
                f"it is worked out for {part.shock_ratio:g} times the weight; what is heavy stays "
                f"put in a crash under {most:g}",
                f"enter {most:g} under Shock load, and see what its strength says then",
                "common practice: restraint of heavy loads, 20 to 28 times their weight",
                "parts",
                part.id,
                "shock_ratio",
            )


def _warm_ends(c: Context) -> Iterator[Finding]:
    """A wire that is warmer than what it is bolted or clamped to stands: for good, or at times."""
    most = planned("terminal_max_c")
    for run, r in c.pairs():
        ends = [id for id in (run.source, run.target) if id[:1] in ("a", "b", "g")]
        if not ends or r.temperature_c <= most or r.ambient_c >= run.insulation.celsius:
            continue
        if r.design_a > r.ampacity_a * 1.0001:
            continue  # too thin for its current: said already
        lasting_c = (
            r.ambient_c
            + (r.temperature_c - r.ambient_c) * (r.programme_a / max(r.design_a, 1e-9)) ** 2
        )
        for_good = lasting_c > most
        if r.gauge_auto and not for_good:
            continue  # the engine took it into account for what lasts
        shown, when = (lasting_c, "at the average level") if for_good else (r.temperature_c, "")
        yield Finding(
            Level.FIX if for_good and not run.existing else Level.NOTE,
            "terminal-heat",
            f"{r.name}: {c.show('temperature', shown)} at {c.name(ends[0])}",
            f"{when or 'at full power'}; posts, studs and terminals stand "
            f"{c.show('temperature', most)}",
            "a thicker wire, which runs cooler, or a cooler way for it",
            "terminals of 75 or 90 C, NFPA 70 110.14(C) (from memory)",
            "runs",
            run.id,
            "gauge",
        )
