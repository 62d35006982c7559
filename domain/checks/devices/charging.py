"""Does something charge each battery, high enough, and do those that charge go together?"""

from collections.abc import Iterator
from itertools import combinations

from domain.build.records import Battery, Block
from domain.checks.context import Context
from domain.checks.devices.isolators import LOW_V
from domain.checks.vehicle import SMART
from domain.electrical.network import charge_reach
from domain.electrical.network.converters import charge_v, is_converter
from domain.electrical.network.wiring import joined_nodes
from domain.findings import Finding, Level
from domain.reference.planning import planned

PRACTICE = "common practice"
VOLTAGES = "charge voltages by chemistry, battery makers' sheets (typical)"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about batteries nobody charges, or too low, lone chargers, unlike alternators."""
    if c.build.alternators:
        for battery in c.build.batteries:
            if battery.id not in c.wiring.idle:
                yield from _reached(c, battery)
    for block in c.build.blocks:
        if is_converter(block):
            yield from _alone(c, block)
    yield from _unlike(c)


def _reached(c: Context, battery: Battery) -> Iterator[Finding]:
    volts = charge_reach.best_v(c.build, c.wiring, battery)
    if volts is None:
        yield _never(c, battery)
        return
    wants, least = charge_v(battery.chemistry), planned("charge_least_v")
    low = any(g.regulated_v < least for g in c.build.alternators)  # said of the alternator
    chargers = charge_reach.chargers_at(c.build, c.wiring, battery)
    if low or any(volts >= each.charge_v - 1e-9 for each in chargers):
        return  # the voltage of a charger that nothing takes from is judged with the charger
    road = charge_reach.best_v(c.build, c.wiring, battery, road=True)
    if road is not None and road < least <= volts:
        yield from _low_on_the_road(c, battery, road)
        return
    if volts < wants - LOW_V - 1e-9:
        yield Finding(
            Level.FIX if volts < least else Level.NOTE,
            "charge-low",
            f"{c.name(battery.id)} never gets full",
            f"{c.volts(volts)} reach it at the most; {battery.chemistry.value} is charged to about "
            f"{c.volts(wants)}, and below {c.volts(wants - LOW_V)} it is only kept as it is",
            "a relay or an ideal diode in the place of a diode, a higher charging voltage, or a "
            "DC-DC charger",
            VOLTAGES,
            "batteries",
            battery.id,
            "chemistry",
        )


def _low_on_the_road(c: Context, battery: Battery, volts: float) -> Iterator[Finding]:
    """Behind a smart alternator: what lasts is what it holds on the road.

    The vehicle sees to the battery that it came with; of one behind an isolator the isolator says
    it.
    """
    start = f"{battery.id}_pos"
    here = joined_nodes(c.build, c.wiring, (start,), through=lambda isolator: False)
    if f"{c.build.batteries[0].id}_pos" not in here or battery is c.build.batteries[0]:
        return
    yield Finding(
        Level.FIX,
        "charge-low",
        f"{c.name(battery.id)} never gets full behind a smart alternator",
        f"on the road the vehicle lowers its voltage: {c.volts(volts)} reach it then, and below "
        f"{c.volts(planned('charge_least_v'))} no {battery.chemistry.value} battery is charged",
        "a DC-DC charger ahead of it, made for smart alternators and told of the ignition",
        f"{VOLTAGES}; {SMART}",
        "batteries",
        battery.id,
        "chemistry",
    )


def _never(c: Context, battery: Battery) -> Finding:
    state = next((s for s in c.states if s.id == "cruise-programme" and s.converged), None)
    drawn = state.battery_a[battery.id] if state else 0.0
    return Finding(
        Level.FIX,
        "never-charged",
        f"Nothing charges {c.name(battery.id)}",
        "no wire and no isolator lets current of an alternator or charger get to it; while driving "
        f"it gives {c.amps(max(drawn, 0.0))}",
        "join it to what charges; a diode or charger has its input on the alternator's side",
        "by definition: what is only ever drained is empty some day",
        "batteries",
        battery.id,
        "name",
    )


def _alone(c: Context, block: Block) -> Iterator[Finding]:
    """A DC-DC charger is made to charge: what starts behind it alone asks for more than it gives.

    One that feeds nothing at all is not joined yet: said elsewhere.
    """
    behind = joined_nodes(c.build, c.wiring, (f"{block.id}_out",), through=lambda isolator: False)
    if len(behind) < 2 or charge_reach.charged_by(c.build, c.wiring, block):
        return
    yield Finding(
        Level.FIX,
        "charger-no-battery",
        f"{c.name(block.id)} has no battery behind it",
        "it gives "
        + (f"{c.amps(block.rated_a)} and no more" if block.rated_a else "no more than its rating")
        + ": what an amplifier or a motor asks for at once is more, and it shuts down",
        "put the battery that it charges behind it, or feed what is there from the starter's side",
        PRACTICE,
        "blocks",
        block.id,
        "isolates",
    )


def _unlike(c: Context) -> Iterator[Finding]:
    """Alternators on one wire: the one that is set higher gives all until it can give no more."""
    for one, other in combinations(c.build.alternators, 2):
        together = joined_nodes(
            c.build, c.wiring, (f"{one.id}_pos",), through=lambda isolator: False
        )
        if f"{other.id}_pos" not in together:
            continue
        set_v = {g.id: g.regulated_v for g in (one, other)}
        road_v = {g.id: charge_reach.road_v(c.build, g) for g in (one, other)}
        volts, when = max(
            (set_v, ""), (road_v, " on the road"), key=lambda each: abs(_apart(each[0]))
        )
        apart = abs(_apart(volts))
        if apart > planned("unlike_v") + 1e-9:
            high, low = sorted((one, other), key=lambda g: -volts[g.id])
            yield Finding(
                Level.NOTE,
                "alternators-unlike",
                f"{c.name(low.id)} gives nothing until {c.name(high.id)} gives all it has",
                f"{c.volts(volts[low.id])} beside {c.volts(volts[high.id])}{when}, "
                f"{c.volts(apart)} apart: the one that is set higher works alone, and hot",
                "one regulator for both, or set both to one voltage",
                PRACTICE,
                "alternators",
                low.id,
                "regulated_v",
            )
            return


def _apart(volts: dict[str, float]) -> float:
    """Between two voltages [V]."""
    first, second = volts.values()
    return first - second
