"""The plan and the sets of gauges beside it: what each costs, what it drops, which sizes differ."""

from collections import Counter
from collections.abc import Sequence
from decimal import Decimal

from msgspec import Struct

from domain.electrical.conductors import area_mm2
from domain.money.cents import price_text
from domain.money.wire_cost import wire_cost
from domain.shop.catalogue import CatalogueItem
from domain.topics.loads import conductor_kg, worst_drop_v
from domain.topics.tables import TEXT, Column, Subject, Table
from domain.units.gauges import format_gauge

LEGEND = "Fits terminals: NO where a size is not stocked or does not go into its terminals."


COST_SAID = "its power wire at the shop's prices; empty where a price is missing"


class DesignRow(Struct, frozen=True):
    """A design, or the plan itself, which has no ``fits``. ``id`` is its title.

    ``cost`` is that of its power wire at the shop's prices, ``None`` where one is missing.
    """

    id: str
    conductor_kg: float
    worst_drop_v: float | None
    gauges: dict[str, str]
    fits: bool | None
    cost: Decimal | None = None


def _rows(subject: Subject) -> list[DesignRow]:
    sheet = subject.sheet
    if not sheet.designs:
        return []
    own = {run.id: run.gauge for run in sheet.runs}
    plan = DesignRow("this plan", conductor_kg(sheet), worst_drop_v(sheet), own, None)
    return [plan, *beside(subject)]


def beside(subject: Subject, items: Sequence[CatalogueItem] = ()) -> list[DesignRow]:
    """The designs without the plan; ``items`` are the shop's, for what their wire costs."""
    return [
        DesignRow(
            each.title,
            each.copper_kg,
            each.worst_drop_v,
            each.gauges,
            each.fits,
            wire_cost(subject.build, subject.sheet, items, each.gauges) if items else None,
        )
        for each in subject.sheet.designs
    ]


def cost_shown(subject: Subject, cost: Decimal | None) -> str:
    """What wire costs, with the build's currency; empty where a price is missing."""
    return "" if cost is None else price_text(cost, subject.build.header.currency)


def _fits(subject: Subject, row: DesignRow) -> str:
    return "" if row.fits is None else "yes" if row.fits else "NO"


def _inside(subject: Subject, row: DesignRow) -> str:
    over = (row.worst_drop_v or 0.0) > subject.build.header.drop_limit_v + 1e-9
    return " OVER" if over else " ok"


def _other(subject: Subject, row: DesignRow) -> str:
    if row.fits is None:
        return ""
    planned = {run.id: run.gauge for run in subject.sheet.runs}
    other = [
        f"{id}: {format_gauge(size)}" for id, size in row.gauges.items() if planned.get(id) != size
    ]
    return ", ".join(other) or "the same"


def _sizes(subject: Subject, row: DesignRow) -> str:
    counted = Counter(row.gauges.values())
    thickest_first = sorted(counted, key=area_mm2, reverse=True)
    return ", ".join(f"{counted[size]} x {format_gauge(size)}" for size in thickest_first)


DESIGNS: Table[DesignRow] = Table(
    rows=_rows,
    columns=(
        Column("title", "Option", TEXT, lambda s, d: d.id),
        Column("conductor", "Conductor", "mass", lambda s, d: d.conductor_kg),
        Column("cost", "Wire cost", TEXT, lambda s, d: cost_shown(s, d.cost), says=COST_SAID),
        Column("drop", "Worst drop", "voltage", lambda s, d: d.worst_drop_v, _inside),
        Column("fits", "Fits terminals", TEXT, _fits),
        Column("other", "Sizes other than in the plan", TEXT, _other),
        Column("sizes", "Sizes", TEXT, _sizes),
    ),
    legend=LEGEND,
)
