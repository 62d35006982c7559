"""The plan and the sets of gauges beside it: what each costs, what it drops, which sizes differ."""

from collections import Counter
from dataclasses import dataclass

from domain.electrical.conductors import area_mm2
from domain.topics.loads import conductor_kg, worst_drop_v
from domain.topics.tables import TEXT, Column, Subject, Table
from domain.units.gauges import format_gauge

LEGEND = "Fits terminals: NO where a size is not stocked or does not go into its terminals."


@dataclass(frozen=True, slots=True)
class DesignRow:
    """A design, or the plan itself, which has no ``fits``. ``id`` is its title."""

    id: str
    conductor_kg: float
    worst_drop_v: float | None
    gauges: dict[str, str]
    fits: bool | None


def _rows(subject: Subject) -> list[DesignRow]:
    sheet = subject.sheet
    if not sheet.designs:
        return []
    own = {run.id: run.gauge for run in sheet.runs}
    plan = DesignRow("this plan", conductor_kg(sheet), worst_drop_v(sheet), own, None)
    return [plan, *beside(subject)]


def beside(subject: Subject) -> list[DesignRow]:
    """The designs without the plan."""
    return [
        DesignRow(each.title, each.copper_kg, each.worst_drop_v, each.gauges, each.fits)
        for each in subject.sheet.designs
    ]


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
        Column("drop", "Worst drop", "voltage", lambda s, d: d.worst_drop_v, _inside),
        Column("fits", "Fits terminals", TEXT, _fits),
        Column("other", "Sizes other than in the plan", TEXT, _other),
        Column("sizes", "Sizes", TEXT, _sizes),
    ),
    legend=LEGEND,
)
