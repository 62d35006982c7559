"""The estimate: hours by operation, materials with mark-up, tax, and what was assumed."""

from collections.abc import Sequence
from decimal import Decimal

from msgspec import Struct

from domain.build.records import Build
from domain.findings import Level
from domain.money.cents import NOTHING, cents, exact, hours
from domain.money.matching import MatchedLine
from domain.money.operations import operation_counts
from domain.sheet import Sheet
from domain.shop.times import Time
from domain.units.show import format_quantity


class LabourLine(Struct, frozen=True):
    """One operation: how many, minutes for each (finish in it), hours together, their price.

    ``hours`` are rounded half up to hundredths and ``price`` to cents, as they are printed, and
    every sum is a sum of these. ``price`` is ``None`` where an hour has no price.
    """

    name: str
    operation: str
    count: Decimal
    per: str
    minutes_each: Decimal
    hours: Decimal
    price: Decimal | None


class PricedLine(Struct, frozen=True):
    """One line of materials as the customer pays it, mark-up in it; ``None`` where not known."""

    matched: MatchedLine
    price: Decimal | None


class Estimate(Struct, frozen=True):
    """What the work takes and costs.

    ``labour``, ``materials``, ``tax`` and ``total`` are sums of the printed lines; ``None`` where
    no line has a price. ``unpriced`` counts lines of materials without one; ``complete``: labour
    and every line of materials have a price.
    """

    lines: tuple[LabourLine, ...]
    hours: Decimal
    materials_lines: tuple[PricedLine, ...]
    labour: Decimal | None
    materials: Decimal | None
    tax: Decimal | None
    total: Decimal | None
    unpriced: int
    complete: bool
    assumptions: tuple[str, ...]
    for_shop: tuple[str, ...]


def estimate(
    build: Build, sheet: Sheet, matched: Sequence[MatchedLine], times: Sequence[Time]
) -> Estimate:
    """The estimate of a build. Pure; takes any build, however unfinished.

    Materials are charged by the quantity in the bill of materials, at pack price over pack size,
    whether bought or off the shelf, times the mark-up. Prices are exact decimals, rounded half
    up to cents once, as each line is printed.
    """
    lines = _labour_lines(build, sheet, times)
    markup = exact(build.header.markup_ratio)
    priced = tuple(
        PricedLine(line, None if line.worth is None else cents(line.worth * markup))
        for line in matched
    )
    labour_prices = [line.price for line in lines if line.price is not None]
    material_prices = [line.price for line in priced if line.price is not None]
    labour = sum(labour_prices, NOTHING) if labour_prices else None
    materials = sum(material_prices, NOTHING) if material_prices else None
    tax = total = None
    if labour is not None or materials is not None:
        net = (labour or NOTHING) + (materials or NOTHING)
        tax = cents(net * exact(build.header.tax_percent) / 100)
        total = net + tax
    unpriced = len(priced) - len(material_prices)
    return Estimate(
        lines=lines,
        hours=sum((line.hours for line in lines), NOTHING),
        materials_lines=priced,
        labour=labour,
        materials=materials,
        tax=tax,
        total=total,
        unpriced=unpriced,
        complete=total is not None and not unpriced and len(labour_prices) == len(lines),
        assumptions=_assumptions(build, sheet),
        for_shop=_for_shop(times, lines),
    )


def _labour_lines(build: Build, sheet: Sheet, times: Sequence[Time]) -> tuple[LabourLine, ...]:
    counts = operation_counts(build, sheet)
    by_name = {time.name: time for time in times}
    factor = exact(by_name[f"finish_{build.header.finish.value}"].value)
    price = exact(build.header.labour_price)
    lines = []
    for time in times:
        count = counts.get(time.name)
        if count is None:
            continue
        each = exact(time.value) * (factor if time.finish else 1)
        took = hours(count * each)
        cost = cents(took * price) if price else None
        lines.append(LabourLine(time.name, time.title, count, time.per, each, took, cost))
    return tuple(lines)


def _for_shop(times: Sequence[Time], lines: Sequence[LabourLine]) -> tuple[str, ...]:
    """What the shop should know of its price, and the customer need not."""
    used = {line.name for line in lines}
    defaults = sum(time.name in used and not time.own for time in times)
    if not defaults:
        return ()
    return (
        f"hours: {defaults} of {len(used)} times are defaults that nobody measured, "
        "not yet replaced by the shop's own",
    )


def _assumptions(build: Build, sheet: Sheet) -> tuple[str, ...]:
    units = build.header.units
    found = [
        f"{run.name}: length not measured yet, "
        f"{format_quantity('length', run.length_m, units)} taken"
        for run in sheet.runs
        if run.length_auto and not run.existing
    ]
    chosen = sum(run.gauge_auto for run in sheet.runs if not run.existing)
    if chosen:
        runs = "run" if chosen == 1 else "runs"
        found.append(f"wire size of {chosen} {runs} as calculated, not chosen by hand")
    found += [
        f"{ground.name}: body resistance not measured, a typical one taken"
        for ground in sheet.grounds
        if ground.resistance_auto and ground.wires
    ]
    existing = sum(run.existing for run in sheet.runs)
    if existing:
        stay = "1 run" if existing == 1 else f"{existing} runs"
        verb = "stays" if existing == 1 else "stay"
        found.append(f"{stay} of wire already in the vehicle {verb}, if found sound")
    stops = sheet.count(Level.STOP)
    if stops:
        points = "point" if stops == 1 else "points"
        found.append(f"{stops} {points} of the plan must be settled before the work begins")
    found.append("amplifiers, batteries and speakers themselves are not in the materials")
    return tuple(found)
