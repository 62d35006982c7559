"""Candidate places for fuses, ranked among those of the same run."""

from domain.document.records import find
from domain.sheet import SpotResult
from domain.topics.tables import TEXT, Column, Subject, Table


def _among(subject: Subject, spot: SpotResult) -> str:
    if not spot.run:
        return "-"
    return f"{spot.rank} of {sum(each.run == spot.run for each in subject.sheet.spots)}"


def _decides(subject: Subject, spot: SpotResult) -> str:
    """Why it has its rank; before it that the fuse is here now."""
    if not spot.run:
        return "name the run whose fuse would sit here"
    run, entered = subject.sheet.run(spot.run), find(subject.build, spot.id)
    here = run is not None and run.fuse_distance_m == getattr(entered, "feed_m", None)
    return ("fuse is here; " if here else "") + spot.why


SPOTS: Table[SpotResult] = Table(
    rows=lambda s: s.sheet.spots,
    columns=(
        Column("run", "Run", TEXT, lambda s, p: s.name(p.run) if p.run else "-"),
        Column("rank", "Rank", "count", lambda s, p: p.rank),
        Column("among", "Rank", TEXT, _among),
        Column("name", "Fuse spot", TEXT, lambda s, p: p.name),
        Column("bare", "Unprotected", "length", lambda s, p: p.unprotected_m),
        Column("wire", "Wire", "length", lambda s, p: p.wire_m),
        Column("heat", "Heat left", "temperature_step", lambda s, p: p.heat_margin_c),
        Column("why", "Why", TEXT, lambda s, p: p.why),
        Column("decides", "Decides", TEXT, _decides),
    ),
)
