"""Does each bus bar carry what flows through it, and what the fuse ahead of it lets through?"""

from collections.abc import Iterator

from domain.build.records import Block
from domain.checks.context import Context
from domain.electrical import bus_bars
from domain.findings import Finding, Level
from domain.reference.planning import planned

SOURCE = "handbook table of flat copper bars in free air, four fifths under a cover"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about bus bars that are too small, or for which none is large enough."""
    results = {block.id: block for block in c.blocks}
    for block in c.build.blocks:
        if not bus_bars.is_bus_bar(block):
            continue
        result = results[block.id]
        if result.bar_holds_a is None:
            yield _finding(
                c,
                block,
                Level.FIX,
                f"{c.name(block.id)}: no listed bar is large enough",
                f"{c.amps(result.bar_carries_a)} flow through it for good",
                "two bars, each with its own feed, or enter the rating on the label of one",
                "rated_a",
            )
            continue
        yield from _judged(c, block, result.bar_holds_a, result.bar_carries_a)


def _judged(c: Context, block: Block, holds_a: float, carries_a: float) -> Iterator[Finding]:
    beyond = planned("overcurrent_fraction")
    field = "rated_a" if block.rated_a is not None else "bar_width_m"
    name, holds = c.name(block.id), f"it carries {c.amps(holds_a)} for good where it is"
    tone = bus_bars.carries_a(c.build, c.states, block, "tone")
    ahead = bus_bars.ahead_a(c.build, c.runs, block)
    larger = "a wider or thicker bar, or leave its section to auto"
    if carries_a > holds_a * 1.0001:
        level = Level.STOP if carries_a > beyond * holds_a else Level.FIX
        what = f"{name}: {c.amps(carries_a)} are more than it carries"
        why = f"{holds}; so much flows on average"
        yield _finding(c, block, level, what, why, larger, field)
    elif tone > beyond * holds_a * 1.0001:
        what = f"{name}: {c.amps(tone)} at full output are more than it carries"
        why = f"{holds}, and {beyond:.0%} of that for the minutes of a peak"
        yield _finding(c, block, Level.FIX, what, why, larger, field)
    elif ahead > holds_a * 1.0001:
        what = f"{name}: its fuses let through {c.amps(ahead)}, more than it carries"
        why = f"{holds}; a fault behind it that opens none of them overheats the bar"
        yield _finding(c, block, Level.FIX, what, why, f"{larger}; or a smaller fuse", field)


def _finding(
    c: Context, block: Block, level: Level, what: str, why: str, do: str, field: str
) -> Finding:
    return Finding(level, "bus-bar-over", what, why, do, SOURCE, "blocks", block.id, field)
