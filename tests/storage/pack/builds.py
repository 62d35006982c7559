"""Builds to print: the demos, the largest, and one with whatever people type as names."""

from functools import cache
from typing import Any

from demo_db.load import demo_builds
from domain.build.records import Build
from domain.cable.cut_list import piece_lengths
from domain.document.records import records
from domain.evaluate import make_plan
from domain.full_results import FullResults, full_results
from domain.money.estimate import estimate
from domain.money.matching import match, spools
from domain.plan import Plan
from domain.shop.catalogue import CatalogueItem
from domain.shop.times import default_times
from storage.pack.pack_context import Money
from tests.benchmarks.builds import sixty_four

ODD = (
    "=1+1",
    "W" * 500,
    "כן רמקול \u0627\u0644\u062d\u0627\u0645\u0644 mount 12",
    "bracket 🔊👍🏽 ✓",
    "[/x] <b>&amp; %%c <font size=90>(a) \\( ../..\\..",
    "支架 ブラケット 브래킷",
    "@SUM(A1) and a name of words that goes on for quite a while, " * 8,
    "ब्रैकेट ყუთი กล่อง",
    "",
    "-2+3|cmd",
)


@cache
def odd() -> Build:
    """The estate car with odd names on everything."""
    build = dict(demo_builds())["estate_car"]
    changed: dict[str, Any] = {}
    count = 0
    for table in build.__struct_fields__:
        if table == "header":
            continue
        rows = []
        for record in records(build, table):
            if "name" in record.__struct_fields__:
                rows.append(record.but(name=ODD[count % len(ODD)][:500]))
                count += 1
            else:
                rows.append(record)
        changed[table] = tuple(rows)
    names = {"title": ODD[2], "customer": ODD[4], "vehicle": ODD[5], "notes": ODD[1]}
    changed["header"] = build.header.but(**names)
    return Build.of(build.but(**changed).plain())


@cache
def builds() -> dict[str, Build]:
    """All of them by name."""
    return {**dict(demo_builds()), "odd": odd(), "largest": sixty_four()}


@cache
def plan(name: str) -> Plan:
    """One of them, worked out."""
    return make_plan(builds()[name])


@cache
def result(name: str) -> FullResults:
    """All that follows from one of them."""
    return full_results(plan(name))


def money(name: str) -> Money:
    """An estimate with a price for wire alone, sold by the 10 m."""
    build, sheet = builds()[name], result(name).sheet
    items = [
        CatalogueItem.of(
            {
                "id": "i1",
                "name": "Wire on a spool",
                "group": "Wire",
                "item_rule": "Copper wire",
                "pack": "10",
                "unit": "m",
                "price": "55.00",
            }
        )
    ]
    pieces = piece_lengths(build, sheet)
    matched = match(sheet.materials, items, pieces)
    return Money(
        estimate(build, sheet, matched, default_times()), spools(sheet.materials, items, pieces)
    )
