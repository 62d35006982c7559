"""The fuse map: where every fuse sits, what it is, and what it guards."""

from domain.build.records import Run, find
from domain.cable.pieces import in_fused_block
from domain.electrical.protection.guards import fuse_distance_m
from domain.sheet import RunResult
from domain.units.gauges import gauge_text
from storage.pack.pack_context import Pack
from storage.pack.paper import TICK, Column, Group, Paper, Row


def fuses(pack: Pack, paper: Paper) -> None:
    """Fuses by the device that they sit at, from the battery outwards."""
    rows: list[Row | Group] = []
    last = ""
    studies = {study.id: study for study in pack.sheet.studies}
    for run in pack.sheet.runs:
        if run.fuse_a is None:
            continue
        at = run.target if _far(pack, run) else run.source
        if at != last:
            rows.append(Group(f"At {pack.name(at)}"))
            last = at
        study = studies.get(run.id)
        guarded = [id for id in study.guarded if id != run.id] if study else []
        where = _where(pack, run)
        more = f" Guards {pack.names(guarded)} too." if guarded else ""
        family = run.fuse_family or "family to be chosen"
        cells = (
            TICK,
            pack.fuse(run),
            family,
            f"{pack.name(run.id)} ({run.id})",
            gauge_text(run.gauge),
            pack.show("current", run.ampacity_a),
        )
        rows.append(Row(cells, " ".join(filter(None, (where + more, pack.stops(run.id))))))
    paper.table(
        (
            Column("In", 9),
            Column("Fuse", 19, 1, bold=True),
            Column("Family", 37),
            Column("Run"),
            Column("Wire", 20, 1),
            Column("Holds", 18, 1),
        ),
        rows,
        "This build has no fuses.",
    )
    bare = [
        run
        for run in pack.sheet.runs
        if run.polarity == "positive" and run.unprotected_m and not run.existing
    ]
    if bare:
        paper.heading("Wire ahead of its fuse")
        paper.table(
            (Column("Run", 12), Column("Name"), Column("Wire that no fuse guards", 45, 1)),
            [(run.id, pack.name(run.id), pack.show("length", run.unprotected_m)) for run in bare],
        )
    paper.words(
        "* set by hand, not calculated. Put fuses in last of all, one at a time, from the battery "
        "outwards: see the work order."
    )


def _far(pack: Pack, result: RunResult) -> bool:
    """Whether its only fuse is at its far end."""
    run = find(pack.build, result.id)
    return isinstance(run, Run) and run.far_fused and not run.fused


def _where(pack: Pack, result: RunResult) -> str:
    run = find(pack.build, result.id)
    if not isinstance(run, Run):
        return ""
    places = []
    if run.fused or not run.far_fused:
        if in_fused_block(find(pack.build, run.source), run):
            places.append(f"in a place of {pack.name(run.source)}")
        elif not result.fuse_distance_m:
            places.append(f"on {pack.name(run.source)}")
        else:
            places.append(
                f"in a holder {pack.show('length', result.fuse_distance_m)} along the wire from "
                f"{pack.name(run.source)}"
            )
    if run.far_fused:
        distance = pack.show("length", fuse_distance_m(run, far=True))
        what = "a second one" if run.fused else "in a holder"
        places.append(f"{what} {distance} along the wire from {pack.name(run.target)}")
    said = " and ".join(places)
    return said[:1].upper() + said[1:] + "."
