"""Does each battery get a voltage, a neighbour and a place that it stands?"""

from collections.abc import Iterator

from domain.build.choices import Chemistry
from domain.build.records import Battery
from domain.checks.context import Context
from domain.electrical.covers import engine_bay
from domain.electrical.network.wiring import joined_nodes
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
    most = planned("charge_most_v_LiFePO4")
    for battery in c.build.batteries:
        if battery.chemistry is not Chemistry.LIFEPO4:
            continue
        volts, state = max(
            ((s.battery_v[battery.id], s.title) for s in c.states if s.converged),
            default=(0.0, ""),
        )
        if volts > most + 0.005:
            yield Finding(
                Level.FIX,
                "charge-high",
                f"{c.name(battery.id)} is charged with more than it stands",
                f"{volts:.2f} V at its posts ({state}) against {most:g} V, 3.65 V a cell",
                "a lower charging voltage, or a charger made for LiFePO4 between the two",
                "LiFePO4 charge voltage 14.2 to 14.6 V, pack makers' sheets",
                "batteries",
                battery.id,
                "chemistry",
            )


def _mixed(c: Context) -> Iterator[Finding]:
    """LiFePO4 and lead-acid on one piece of wire, with no isolator between."""
    for battery in c.build.batteries:
        if battery.chemistry is not Chemistry.LIFEPO4:
            continue
        reached = joined_nodes(
            c.build, c.wiring, (f"{battery.id}_pos",), through=lambda isolator: False
        )
        others = [
            other
            for other in c.build.batteries
            if other.chemistry is not Chemistry.LIFEPO4 and f"{other.id}_pos" in reached
        ]
        if others:
            yield Finding(
                Level.FIX,
                "mixed-chemistry",
                f"{c.name(battery.id)} is joined to {c.name(others[0].id)} for good",
                "LiFePO4 rests half a volt above lead-acid: the one keeps charging the other, and "
                "neither gets the voltage that it wants",
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
    most = planned("battery_max_c_LiFePO4")
    if battery.chemistry is Chemistry.LIFEPO4 and zone.ambient_c >= most:
        yield Finding(
            Level.FIX,
            "battery-hot",
            f"{c.name(battery.id)} sits too hot",
            f"{c.show('temperature', zone.ambient_c)} in {zone.name or zone.id}; makers of LiFePO4 "
            f"packs end at {c.show('temperature', most)} for use and at 45 C (113 F) for charging",
            "a cooler place, inside the vehicle",
            "LiFePO4 pack makers' sheets",
            "batteries",
            battery.id,
            "zone",
        )
    if battery.chemistry is Chemistry.FLOODED and not engine_bay(zone):
        yield Finding(
            Level.NOTE,
            "battery-gas",
            f"{c.name(battery.id)} is flooded and sits in {zone.name or zone.id}",
            "while it is charged it gives off hydrogen, and acid if it tips",
            "a sealed box vented to the outside, or an AGM battery, where people ride",
            "IEC 62485-2, ventilation; " + PRACTICE,
            "batteries",
            battery.id,
            "chemistry",
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
