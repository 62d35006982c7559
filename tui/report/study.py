"""Sections of a plain-text sheet on the study of a build: designs, fuses against wire, spots."""

from domain.build.records import Build, label
from domain.sheet import Sheet
from domain.topics.fuse_study import STUDIES
from domain.topics.loads import conductor_kg, worst_drop_v
from domain.topics.shower import Show
from domain.topics.tables import Subject
from domain.units.gauges import format_gauge
from tui.report.layout import lay
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


def protection(subject: Subject) -> list[str]:
    """Every fuse against the wire that it guards, and which opening curve that rests on."""
    studies = subject.sheet.studies
    if not studies:
        return []
    most = {"id": 5, "name": 14, "fuse": 7, "near": 8, "far": 8, "opens": 7, "stands": 7}
    lines = lay(subject, STUDIES, {**most, "margin": 12, "answer": 18})
    lines += wrap(STUDIES.legend)
    curves: dict[str, list[str]] = {}
    for study in studies:
        curves.setdefault(study.curve, []).append(study.id)
        if study.guarded != (study.id,):
            guarded = ", ".join(map(subject.name, study.guarded))
            lines += wrap(f"{study.id} guards {guarded}; weakest is {subject.name(study.weakest)}")
    for curve, ids in curves.items():
        lines += wrap(f"Curve used for {', '.join(ids)}: {curve or 'none'}")
    return lines


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
