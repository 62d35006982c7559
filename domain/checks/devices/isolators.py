"""Does each isolator carry what flows through it for good, and does each charger suit?"""

from collections.abc import Iterator

from domain.build.choices import BlockKind, Polarity
from domain.build.records import Block
from domain.checks.context import Context
from domain.electrical.network import charge_reach
from domain.electrical.network.converters import charge_v, is_converter
from domain.electrical.protection.circulation import MUST_OPEN
from domain.electrical.sizing.joining import alone_at
from domain.findings import Finding, Level
from domain.reference.planning import planned
from domain.sheet import IsolatorResult

PRACTICE = "common practice"
SOURCE = "common practice: continuous rating of relays and isolators"
PEAK = "common practice: intermittent rating of relays and isolators"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about isolators that part nothing, have no rating, or carry more than theirs."""
    results = {r.id: r for r in c.isolators}
    for block in c.build.blocks:
        if block.kind is BlockKind.ISOLATOR:
            yield from _one_sided(c, block)
            if is_converter(block):
                yield from _charger(c, block)
            r = results[block.id]
            if r.lasting_a > 0 and block.rated_a is None:
                yield _unknown(c, block, r)
            if is_converter(block):
                continue  # a DC-DC charger limits itself
            over = block.rated_a is not None and r.lasting_a > block.rated_a * 1.0001
            if over and block.rated_a is not None:
                yield _over(c, block, block.rated_a, r)
            if r.passes_a is not None and (block.peak_a is not None or not over):
                yield from _peak(c, block, r, r.passes_a)
            yield from _fuses(c, block, r)


def _one_sided(c: Context, block: Block) -> Iterator[Finding]:
    """All wires on one side of it join there at all times, whatever it does."""
    plus = [
        run for run in c.build.runs if run.polarity is Polarity.POSITIVE and run.id in c.wiring.ends
    ]
    into = [r for r in plus if r.target == block.id]
    out = [r for r in plus if r.source == block.id]
    for wires, side in ((into, "input"), (out, "output")):
        if len(wires) > 1 and len(wires) == len(into) + len(out):
            yield Finding(
                Level.FIX,
                "isolator-one-sided",
                f"{c.name(block.id)} parts nothing",
                f"{', '.join(c.name(r.id) for r in wires)} all meet at its {side}: they are joined "
                "whether it is closed or open, and one battery drains the other",
                "let the wire to the second battery go out from it: change From and To of that run",
                "by definition: what meets at one terminal is joined",
                "runs",
                wires[-1].id,
                "target" if side == "input" else "source",
            )


def _charger(c: Context, block: Block) -> Iterator[Finding]:
    """A DC-DC charger without a ground lead, or set for another battery than is behind it."""
    if f"{block.id}_neg" not in c.wiring.nodes:
        yield Finding(
            Level.FIX,
            "charger-ground",
            f"{c.name(block.id)} has no ground lead",
            "what it takes and gives comes together at its negative terminal; if it is short "
            f"inside, all that the fuse ahead of it lets through ({_fuse_ahead(c, block)}) comes "
            "back there, and through its case where no wire leads away",
            "add a ground run from it to the ground point of the battery that it charges",
            PRACTICE,
            "blocks",
            block.id,
            "name",
        )
    yield from _too_small(c, block)
    behind = {r.id for r in c.build.runs if r.source == block.id}
    for battery in c.build.batteries[1:]:
        if block.charge_v is None or not behind & set(c.wiring.links.get(battery.id, ())):
            continue
        wants = charge_v(battery.chemistry)
        off = block.charge_v - wants
        if off > HIGH_V or off < -LOW_V:
            chemistry = battery.chemistry.value
            yield Finding(
                Level.FIX,
                "charger-voltage",
                f"{c.name(block.id)} charges {c.name(battery.id)} to {c.volts(block.charge_v)}",
                f"{chemistry} is charged to about {c.volts(wants)}: "
                + ("more spoils it" if off > 0 else "with less it is never full"),
                f"choose the charger's profile for {chemistry}, and clear this field",
                "charge voltages by chemistry, battery makers' sheets (typical)",
                "blocks",
                block.id,
                "charge_v",
            )


def _too_small(c: Context, block: Block) -> Iterator[Finding]:
    """Batteries behind a charger that are drained while driving, with the music on average."""
    state = next((s for s in c.states if s.id == "cruise-programme" and s.converged), None)
    if state is None:
        return
    behind = [b.id for b in charge_reach.charged_by(c.build, c.wiring, block)]
    drained = sum(state.battery_a[id] for id in behind)
    if behind and drained > DRAINED_A:
        names = " and ".join(c.name(id) for id in behind)
        yield Finding(
            Level.FIX,
            "charger-small",
            f"{c.name(block.id)} gives less than is used behind it",
            f"while driving, with the music on average, {c.amps(drained)} are taken out of "
            f"{names}: it empties on the road",
            "a larger charger, a second one beside it, or less load behind it",
            "conservation of charge, in the solved network",
            "blocks",
            block.id,
            "rated_a",
        )


DRAINED_A = 0.5
"""A battery that gives less than this is as good as at rest [A]. Common practice."""


HIGH_V, LOW_V = 0.45, 0.8
"""What a charging voltage may lie above and below the usual one for a battery [V].

Makers differ by 0.4 V (14.4 to 14.8 V for lead, 14.2 to 14.6 V for LiFePO4); 0.8 V below, 13.6 V
for lead, is what only keeps a full battery full. Typical, from memory.
"""


def _fuse_ahead(c: Context, block: Block) -> str:
    fuses = [r.fuse_a for run, r in c.pairs() if run.target == block.id and r.fuse_a is not None]
    return c.amps(max(fuses)) if fuses else "there is none"


def _peak(c: Context, block: Block, r: IsolatorResult, passes_a: float) -> Iterator[Finding]:
    """For seconds it passes more than for good, but not any amount.

    What its label does not say is asked for, where only its closing or a start goes beyond.
    """
    share = planned("overcurrent_fraction")
    surges = (
        (r.joining_a, "as it joins a full battery and a half-empty one"),
        (r.starting_a, "while the engine is started through it"),
    )
    stands = (
        f"its label says {c.amps(passes_a)} for seconds"
        if block.peak_a is not None
        else f"it is rated {c.amps(block.rated_a)} for good, and stands {share:.0%} of that for "
        "the seconds of a peak"
    )
    music = (r.full_a, "at full power")
    peak, what = max(*surges, music) if block.peak_a is not None else music
    if peak > passes_a * 1.0001:
        yield Finding(
            Level.FIX,
            "isolator-peak",
            f"{c.name(block.id)}: {c.amps(peak)} {what} are more than it passes",
            f"{stands}; beyond, contacts weld and junctions fail",
            "a larger isolator, or let the battery behind it feed the music by itself"
            if (peak, what) == music
            else "an isolator with a larger peak rating, or a DC-DC charger, which limits the "
            "current to its own rating",
            PEAK,
            "blocks",
            block.id,
            "rated_a" if block.peak_a is None else "peak_a",
        )
        return
    surge, what = max(surges)
    if surge > passes_a * 1.0001:
        yield Finding(
            Level.NOTE,
            "isolator-peak-unknown",
            f"{c.name(block.id)}: does it pass {c.amps(surge)} for seconds?",
            f"so much flows {what}; {stands}, as far as is known without its peak rating",
            "enter the peak rating on its label; where that is less, a larger isolator",
            PEAK,
            "blocks",
            block.id,
            "peak_a",
        )


def _fuses(c: Context, block: Block, r: IsolatorResult) -> Iterator[Finding]:
    """A fuse on the way that opens as it closes leaves the battery behind it uncharged."""
    results = {result.id: result for result in c.runs}
    for run in alone_at(c.build, c.wiring, block.id):
        result = results[run.id]
        if result.fuse_a is None:
            continue
        opens_a = MUST_OPEN * result.fuse_a * run.count
        if r.joining_a > opens_a * 1.0001:
            yield Finding(
                Level.FIX,
                "isolator-fuse",
                f"{c.name(run.id)}: its {c.amps(result.fuse_a)} fuse may open as "
                f"{c.name(block.id)} closes",
                f"{c.amps(r.joining_a)} flow as it joins a full battery and a half-empty one; "
                f"from {c.amps(opens_a)} on, {MUST_OPEN:g} of its rating, it must open, and what "
                "is behind it is charged no more",
                "leave fuse and gauge to be chosen, or use a DC-DC charger, which limits the "
                "current to its own rating",
                "ISO 8820, opening at 1.35 of the rating (from memory); the solved network",
                "runs",
                run.id,
                "fuse_a",
            )


def _unknown(c: Context, block: Block, r: IsolatorResult) -> Finding:
    return Finding(
        Level.NOTE,
        "isolator-unrated",
        f"{c.name(block.id)}: what does it carry for good?",
        f"{c.amps(r.lasting_a)} flow through it {r.lasting_why}; its rating is not entered",
        "enter the continuous rating on its label; a relay's peak rating is for starting only",
        SOURCE,
        "blocks",
        block.id,
        "rated_a",
    )


def _over(c: Context, block: Block, rated_a: float, r: IsolatorResult) -> Finding:
    beyond = r.lasting_a > planned("overcurrent_fraction") * rated_a
    return Finding(
        Level.STOP if beyond else Level.FIX,
        "isolator-over",
        f"{c.name(block.id)}: {c.amps(r.lasting_a)} are more than it carries for good",
        f"it is rated {c.amps(rated_a)}; so much flows through it {r.lasting_why}"
        + ("; its contacts or junctions burn" if beyond else "; it runs too hot"),
        "a larger isolator, or a DC-DC charger, which limits the current to its own rating",
        SOURCE,
        "blocks",
        block.id,
        "rated_a",
    )
