"""Sections of a plain-text sheet on the study of a build: designs, fuses against wire, spots."""

from domain.build.records import Build, label
from domain.sheet import FuseStudy, Sheet
from domain.topics.shower import Show
from domain.units.gauges import format_gauge
from domain.units.show import format_quantity
from tui.report.plain import Column, table, wrap


def designs(sheet: Sheet, show: Show) -> list[str]:
    """The plan and the sets of gauges beside it; of those only the sizes that differ."""
    if not sheet.designs:
        return []
    columns = (
        Column("Design", 18),
        Column("Conductor", 9, True),
        Column("Worst drop", 10, True),
        Column("Fits", 4),
        Column("Sizes other than in the plan", 40),
    )
    planned = {run.id: run.gauge for run in sheet.runs}
    mass, worst = show("mass", conductor_kg(sheet)), show("voltage", worst_drop_v(sheet))
    rows = [("this plan", mass, worst, "", "")]
    for design in sheet.designs:
        other = [
            f"{id}: {format_gauge(g)}" for id, g in design.gauges.items() if planned.get(id) != g
        ]
        rows.append(
            (
                design.title,
                show("mass", design.copper_kg),
                show("voltage", design.worst_drop_v),
                "yes" if design.fits else "no",
                ", ".join(other) or "the same",
            )
        )
    lines = table(columns, rows)
    if not all(design.fits for design in sheet.designs):
        lines += wrap("Fits: no where a size is not stocked or does not go into its terminals.")
    return lines


def conductor_kg(sheet: Sheet) -> float:
    """Conductor mass of all runs that are bought [kg]."""
    return sum(run.conductor_kg for run in sheet.runs if not run.existing)


def worst_drop_v(sheet: Sheet) -> float | None:
    """Largest drop of any amplifier [V]; ``None`` where no amplifier has one."""
    return max((a.drop_v for a in sheet.amplifiers if a.drop_v is not None), default=None)


def protection(build: Build, sheet: Sheet, show: Show) -> list[str]:
    """Every fuse against the wire that it guards, and which opening curve that rests on."""
    if not sheet.studies:
        return []
    columns = (
        Column("Id", 5),
        Column("Run", 14),
        Column("Fuse", 7, True),
        Column("Near", 7, True),
        Column("Far", 7, True),
        Column("Opens", 7, True),
        Column("Stands", 7, True),
        Column("Margin", 12, True),
        Column("Verdict", 18),
    )
    units = build.header.units
    rows = [
        (
            study.id,
            label(build, study.id),
            show("current", study.rating_a),
            show("current", study.fault_near_a),
            show("current", study.fault_far_a),
            format_quantity("duration", study.opens_far_s, units, "never"),
            format_quantity("duration", study.stands_far_s, units, "never"),
            _margin(study, show),
            _verdict(study, show),
        )
        for study in sheet.studies
    ]
    lines = table(columns, rows)
    lines += wrap(
        "Near and far: a dead short right behind the fuse, and at the far end of what it guards, "
        "from the batteries alone. Opens: at the latest, at the far one; stands: what the weakest "
        "wire that it guards stands then. Margin: stands over opens where that is least."
    )
    curves: dict[str, list[str]] = {}
    for study in sheet.studies:
        curves.setdefault(study.curve, []).append(study.id)
        if study.guarded != (study.id,):
            guarded = ", ".join(label(build, id) for id in study.guarded)
            lines += wrap(f"{study.id} guards {guarded}; weakest is {label(build, study.weakest)}")
    for curve, ids in curves.items():
        lines += wrap(f"Curve used for {', '.join(ids)}: {curve or 'none'}")
    return lines


def _margin(study: FuseStudy, show: Show) -> str:
    if study.margin is None:
        return "never hurt" if study.protects else "-"
    return f"{show('margin', study.margin)} at {show('current', study.margin_at_a)}"


def _verdict(study: FuseStudy, show: Show) -> str:
    said = "opens first" if study.protects else "the wire is hurt first"
    if not study.opens:
        said = "may never open at the far fault"
    if not study.breaks:
        said += f"; near fault is over its {show('current', study.breaking_a)} breaking capacity"
    if study.selective is not None:
        said += f"; {'selective' if study.selective else 'not selective'} with {study.upstream}"
    return said


def spots(build: Build, sheet: Sheet, show: Show) -> list[str]:
    """Candidate places for fuses, the best of each run first."""
    columns = (
        Column("Run", 20),
        Column("Rank", 4, True),
        Column("Spot", 22),
        Column("Unguarded", 9, True),
        Column("Wire", 9, True),
        Column("Heat left", 9, True),
        Column("Why", 15),
    )
    rows = [
        (
            label(build, spot.run) if spot.run else "-",
            str(spot.rank),
            spot.name,
            show("length", spot.unprotected_m),
            show("length", spot.wire_m),
            show("temperature_step", spot.heat_margin_c),
            spot.why,
        )
        for spot in sheet.spots
    ]
    return table(columns, rows) if rows else []
