"""Does each isolator carry what flows through it for good, and does each charger suit?"""

from collections.abc import Iterator

from domain.build.choices import BlockKind, Polarity
from domain.build.records import Block
from domain.checks.context import Context
from domain.electrical import charging
from domain.electrical.network.converters import charge_v, is_converter
from domain.findings import Finding, Level
from domain.reference.planning import planned

PRACTICE = "common practice"
SOURCE = "common practice: continuous rating of relays and isolators"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about isolators that part nothing, have no rating, or carry more than theirs."""
    for block in c.build.blocks:
        if block.kind is BlockKind.ISOLATOR:
            yield from _one_sided(c, block)
            if is_converter(block):
                yield from _charger(c, block)
            carried, what = carried_a(c, block)
            if carried > 0 and block.rated_a is None:
                yield _unknown(c, block, carried, what)
            elif block.rated_a is None or is_converter(block):
                continue  # a DC-DC charger limits itself
            elif carried > block.rated_a * 1.0001:
                yield _over(c, block, block.rated_a, carried, what)
            else:
                yield from _peak(c, block, block.rated_a)


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


HIGH_V, LOW_V = 0.45, 0.8
"""What a charging voltage may lie above and below the usual one for a battery [V].

Makers differ by 0.4 V (14.4 to 14.8 V for lead, 14.2 to 14.6 V for LiFePO4); 0.8 V below, 13.6 V
for lead, is what only keeps a full battery full. Typical, from memory.
"""


def _fuse_ahead(c: Context, block: Block) -> str:
    fuses = [r.fuse_a for run, r in c.pairs() if run.target == block.id and r.fuse_a is not None]
    return c.amps(max(fuses)) if fuses else "there is none"


def carried_a(c: Context, block: Block) -> tuple[float, str]:
    """The most that flows through an isolator for good [A], and what it is.

    The music at programme level in any solved state; or the charge of a further battery behind it,
    or what evens the batteries out, one full and the other half empty.
    """
    behind = _behind(c, block)
    found = [(_solved_a(c, block, "programme"), "at programme level")]
    given = sum(g.rated_a for g in charging.live_alternators(c.build))
    for battery in c.build.batteries[1:]:
        way = c.wiring.links.get(battery.id, ())
        if any(id in way for id in behind):
            amperes = charging.link_current_a(c.build, battery, given)
            found.append((amperes, f"as {c.name(battery.id)} is charged, or levels with the other"))
    return max(found)


def _behind(c: Context, block: Block) -> list[str]:
    """The runs that leave it on its output."""
    return [
        run.id
        for run in c.build.runs
        if run.source == block.id and run.polarity is Polarity.POSITIVE and run.id in c.wiring.ends
    ]


def _solved_a(c: Context, block: Block, level: str) -> float:
    """The most that flows through it in any solved state at a level, "programme" or "tone" [A]."""
    behind = _behind(c, block)
    solved = [
        abs(sum(state.current_a[id] for id in behind))
        for state in c.states
        if state.converged and state.id.endswith(level)
    ]
    return max(solved, default=0.0)


def _peak(c: Context, block: Block, rated_a: float) -> Iterator[Finding]:
    """Music at full tone: for seconds it may pass more than for good, but not any amount."""
    share = planned("overcurrent_fraction")
    peak = _solved_a(c, block, "tone")
    if peak > share * rated_a * 1.0001:
        yield Finding(
            Level.FIX,
            "isolator-peak",
            f"{c.name(block.id)}: {c.amps(peak)} at full tone are more than it passes",
            f"it is rated {c.amps(rated_a)} for good, and stands {share:.0%} of that for the "
            "seconds of a peak; beyond, contacts weld and junctions fail",
            "a larger isolator, or let the battery behind it feed the music by itself",
            "common practice: intermittent rating of relays and isolators",
            "blocks",
            block.id,
            "rated_a",
        )


def _unknown(c: Context, block: Block, carried: float, what: str) -> Finding:
    return Finding(
        Level.NOTE,
        "isolator-unrated",
        f"{c.name(block.id)}: what does it carry for good?",
        f"{c.amps(carried)} flow through it {what}; its rating is not entered",
        "enter the continuous rating on its label; a relay's peak rating is for starting only",
        SOURCE,
        "blocks",
        block.id,
        "rated_a",
    )


def _over(c: Context, block: Block, rated_a: float, carried: float, what: str) -> Finding:
    beyond = carried > planned("overcurrent_fraction") * rated_a
    return Finding(
        Level.STOP if beyond else Level.FIX,
        "isolator-over",
        f"{c.name(block.id)}: {c.amps(carried)} are more than it carries for good",
        f"it is rated {c.amps(rated_a)}; so much flows through it {what}"
        + ("; its contacts or junctions burn" if beyond else "; it runs too hot"),
        "a larger isolator, or a DC-DC charger, which limits the current to its own rating",
        SOURCE,
        "blocks",
        block.id,
        "rated_a",
    )
