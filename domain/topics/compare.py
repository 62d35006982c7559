"""Two builds side by side: the figures that they are compared by, and the runs that differ."""

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from domain.findings import Level
from domain.money.wire_cost import wire_cost
from domain.sheet import RunResult
from domain.shop.catalogue import CatalogueItem
from domain.topics.designs import cost_shown
from domain.topics.loads import conductor_kg, worst_drop_v
from domain.topics.tables import TEXT, Fact, Subject
from domain.units.gauges import gauge_text

Pair = tuple[RunResult | None, RunResult | None]


def figures(subject: Subject, items: Sequence[CatalogueItem] = ()) -> tuple[Fact, ...]:
    """The figures that builds are compared by; of every build the same, in the same order.

    What the power wire costs is one of them where the shop has ``items``; empty where one of the
    wires has no price there.
    """
    sheet, supply = subject.sheet, subject.sheet.supply
    fuses = sorted((r.fuse_a for r in sheet.runs if r.fuse_a is not None), reverse=True)
    shown = [subject.show("current", fuse).removesuffix(" A") for fuse in fuses]
    return (
        Fact("Conductor to buy", "mass", conductor_kg(sheet)),
        *_cost(subject, items),
        Fact("Worst drop", "voltage", worst_drop_v(sheet)),
        Fact("Drop limit", "voltage", subject.build.header.drop_limit_v),
        Fact("Current at full power", "current", supply.design_a),
        Fact("Average current", "current", supply.programme_a),
        Fact("Balance while driving", "current", supply.cruise_balance_a),
        Fact("Balance at idle", "current", supply.idle_balance_a),
        Fact("Engine off, half charge", "minutes", supply.play_minutes),
        Fact("Sag at the posts", "voltage", supply.sag_v),
        Fact("Fuses", TEXT, f"{', '.join(shown)} A" if shown else "none"),
        *(Fact(f"Findings: {level}", "count", sheet.count(level)) for level in Level),
    )


def _cost(subject: Subject, items: Sequence[CatalogueItem]) -> tuple[Fact, ...]:
    if not items:
        return ()
    cost = wire_cost(subject.build, subject.sheet, items)
    return (Fact("Wire cost", TEXT, cost_shown(subject, cost)),)


def change(one: Fact, other: Fact) -> str:
    """How much more the other is; "" where both are the same, or none can be said."""
    before, after = one.value, other.value
    if not isinstance(before, int | float) or not isinstance(after, int | float):
        return ""
    if one.kind == "count":
        return f"{int(after) - int(before):+d}" if after != before else ""
    if not before or abs(after - before) < 1e-9 * abs(before):
        return ""
    return f"{(after - before) / abs(before):+.1%}"


def pairs(one: Iterable[RunResult], other: Iterable[RunResult]) -> list[Pair]:
    """Runs of two builds that go by the same name, then those that only one of them has."""
    left = list(other)
    found: list[Pair] = []
    for run in one:
        same = [each for each in left if each.name == run.name]
        twin = next((each for each in same if each.id == run.id), same[0] if same else None)
        if twin:
            left.remove(twin)
        found.append((run, twin))
    return [*found, *((None, run) for run in left)]


class RunDifference(Struct, frozen=True):
    """A run whose wire or fuse is not the same in both builds, as it is printed."""

    name: str
    wires: tuple[str, str]
    fuses: tuple[str, str]


def differing_runs(one: Subject, other: Subject) -> Iterator[RunDifference]:
    """Runs whose size, metal or fuse differs, or that only one of the builds has."""
    for a, b in pairs(one.sheet.runs, other.sheet.runs):
        wires = _wire(one, a), _wire(other, b)
        fuses = _fuse(one, a), _fuse(one, b)
        if wires[0] != wires[1] or fuses[0] != fuses[1]:
            owner, run = (one, a) if a else (other, b)
            yield RunDifference(owner.name(run.id) if run else "", wires, fuses)


def _wire(subject: Subject, run: RunResult | None) -> str:
    if run is None:
        return "no such run"
    size = gauge_text(run.gauge, run.count)
    return size if run.metal == "copper" else f"{size} {run.metal}"


def _fuse(subject: Subject, run: RunResult | None) -> str:
    return subject.show("current", run.fuse_a if run else None)
