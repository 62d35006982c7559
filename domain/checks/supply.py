"""Can battery and alternator feed it, and does every amplifier get enough voltage?"""

from collections.abc import Iterator

from domain.build.choices import BlockKind, Polarity
from domain.build.records import Battery, Run
from domain.checks.context import Context
from domain.document.records import find
from domain.electrical import sources
from domain.electrical.blocks import places_used
from domain.findings import Finding, Level
from domain.sheet import NetworkState
from domain.units.gauges import gauge_text

PRACTICE = "common practice"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about missing sources, collapse, shortfall, and full blocks."""
    yield from _missing(c)
    yield from _idle(c)
    for state in c.states:
        yield from _state(c, state)
    yield from _stated(c)
    yield from _balance(c)
    yield from _blocks(c)


def _missing(c: Context) -> Iterator[Finding]:
    if not c.build.batteries:
        yield Finding(
            Level.STOP,
            "no-battery",
            "There is no battery",
            "nothing feeds the system",
            "add a battery on the battery screen",
            PRACTICE,
        )
    if not c.build.alternators:
        yield Finding(
            Level.NOTE,
            "no-alternator",
            "There is no alternator",
            "the batteries are only ever discharged in this plan",
            "add the vehicle's alternator on the battery screen",
            PRACTICE,
        )


def _idle(c: Context) -> Iterator[Finding]:
    """Batteries and alternators that give nothing, because a side of theirs leads nowhere."""
    ends = {end for run in c.build.runs if run.id in c.wiring.ends for end in _sides(run)}
    for id in c.wiring.idle:
        lacks = [side for side, polarity in _SIDES.items() if (id, polarity) not in ends]
        yield Finding(
            Level.FIX,
            "source-idle",
            f"{c.name(id)} gives nothing",
            f"it has no {' and no '.join(lacks)}; it is counted nowhere in this plan"
            if lacks
            else "no current gets from its plus back to its minus; it is counted nowhere in this "
            "plan",
            "join it on both sides, or take it out of the plan",
            "Kirchhoff's current law",
            "batteries" if id in {b.id for b in c.build.batteries} else "alternators",
            id,
            "name",
        )


def _stated(c: Context) -> Iterator[Finding]:
    """Alternators of which nobody said how their output is stated."""
    for g in c.build.alternators:
        if g.hot is None and g.rated_a > 0:
            given = sources.alternator_limit_a(g, False)
            yield Finding(
                Level.NOTE,
                "output-stated",
                f"{c.name(g.id)}: is {c.amps(g.rated_a)} the plate's figure, or hot?",
                f"a plate states what it gives warm at 6000 per minute; hot while driving that is "
                f"{c.amps(given)}, which the plan counts with",
                "look at the plate or the maker's curve, and say yes or no under Rated hot",
                "ISO 8854 (from memory)",
                "alternators",
                g.id,
                "hot",
            )


_SIDES = {"positive run": Polarity.POSITIVE, "ground": Polarity.GROUND}


def _sides(run: Run) -> tuple[tuple[str, Polarity], tuple[str, Polarity]]:
    return (run.source, run.polarity), (run.target, run.polarity)


def _state(c: Context, state: NetworkState) -> Iterator[Finding]:
    if not state.converged:
        yield Finding(
            Level.STOP,
            "unsettled",
            f"No steady state found: {state.title}",
            "it swings between two",
            "look for a loop of sources with next to no resistance between them",
            "nodal analysis of the entered network",
        )
    if not state.collapsed:
        return
    level = Level.STOP if state.id.endswith("programme") else Level.NOTE
    if state.id == "cruise-tone":
        level = Level.FIX
    names = ", ".join(c.name(id) for id in state.off)
    volts = min(state.amplifier_v[id] for id in state.off)
    battery = isinstance(find(c.build, state.blame), Battery)
    yield Finding(
        level,
        "collapse",
        f"The voltage collapses: {state.title}",
        f"{names} would fall to {c.volts(volts)} and shut down; the greatest loss is in "
        f"{c.name(state.blame)}",
        "more battery, or less load in this state"
        if battery
        else "a thicker or shorter wire there, or less load behind it",
        "nodal analysis with constant-power loads",
        "batteries" if battery else "runs",
        state.blame,
        "resistance_ohm" if battery else "gauge",
    )


def _drawn(c: Context) -> str:
    """What is fed on average, and what chargers take."""
    s = c.supply
    what = "music and loads" if c.build.appliances else "the music"
    if not s.chargers_a:
        return f"{what} {c.amps(s.programme_a)}"
    straight = s.programme_a - s.behind_a
    chargers = f"DC-DC chargers {c.amps(s.chargers_a)} while they charge"
    return (f"{what} {c.amps(straight)}, " if straight else "") + chargers


def _balance(c: Context) -> Iterator[Finding]:
    s = c.supply
    if not c.build.alternators or not c.loads:
        return
    table, id = "alternators", c.build.alternators[0].id
    if s.cruise_balance_a < 0:
        minutes = s.minutes_to_half_cruise
        for_good = s.cruise_balance_a + s.chargers_a - s.chargers_full_a < 0
        yield Finding(
            Level.FIX if for_good else Level.NOTE,
            "short-cruise",
            f"The alternator lacks {c.amps(-s.cruise_balance_a)} even while driving",
            f"the alternator gives {c.amps(s.cruise_a)}, the vehicle takes {c.amps(s.vehicle_a)} "
            f"and {_drawn(c)}"
            + (f"; half the battery is gone in {c.show('minutes', minutes)}" if minutes else ""),
            "a larger alternator, less load, or calmer music"
            if for_good
            else "nothing, where the charger stops by itself as the voltage falls; else a smaller "
            f"one: once its battery is full it takes {c.amps(s.chargers_full_a)}",
            "alternator output against vehicle load and average current",
            table,
            id,
            "rated_a",
        )
    elif s.idle_balance_a < 0:
        minutes = s.minutes_to_half_idle
        yield Finding(
            Level.NOTE,
            "short-idle",
            f"The alternator lacks {c.amps(-s.idle_balance_a)} at idle",
            f"the alternator gives {c.amps(s.idle_a)} at idle, the vehicle takes "
            f"{c.amps(s.vehicle_a)} and {_drawn(c)}"
            + (
                f"; half the battery is gone in {c.show('minutes', minutes)} of idling"
                if minutes
                else ""
            ),
            "tell the customer, or plan more idle output or battery",
            "alternator output against vehicle load and average current",
            table,
            id,
            "idle_a",
        )


def _blocks(c: Context) -> Iterator[Finding]:
    for block in c.build.blocks:
        used = places_used(c.build, block)
        if block.kind is not BlockKind.ISOLATOR and used > block.places:
            yield Finding(
                Level.FIX,
                "block-full",
                f"{c.name(block.id)} is full",
                f"{used} wires for {block.places} outputs",
                "a larger block, a second one, or feed a branch from elsewhere",
                PRACTICE,
                "blocks",
                block.id,
                "places",
            )
        elif block.kind.distributes and not used and c.build.amplifiers:
            yield from _empty(c, block.id)


def _empty(c: Context, block: str) -> Iterator[Finding]:
    """A block that feeds nothing yet: its own feed is sized for nothing, which has to be said."""
    for run, r in c.pairs():
        if run.target == block and r.gauge_auto and not run.existing:
            yield Finding(
                Level.NOTE,
                "block-empty",
                f"{r.name}: sized for nothing, as {c.name(block)} feeds nothing yet",
                f"{gauge_text(r.gauge)}"
                + (f" and a fuse of {c.amps(r.fuse_a)}" if r.fuse_a is not None else "")
                + " carry what flows there today, which is no load",
                "add what it will feed, or enter the gauge and fuse that this block is made for",
                PRACTICE,
                "runs",
                run.id,
                "gauge",
            )
