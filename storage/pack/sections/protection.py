"""Does every fuse open before its wire is hurt? The study as a table, and its curves."""

from functools import partial

from domain.build.choices import FuseFamily
from domain.electrical.protection import coordination
from domain.electrical.protection.opening import Window
from domain.electrical.protection.withstand import Wire
from domain.sheet import FuseStudy
from domain.units.show import format_quantity
from storage.pack.pack_context import Pack
from storage.pack.paper import LEFT, SMALL, Column, Paper, Row
from storage.pack.vector_charts import DASHED, DOTTED, HEAVY, LIGHT, key, protection_chart

MOST_CHARTS = 8
"""So many fuses are drawn: those with the least margin."""

_CHART = 63.0
_KEY = (
    ("fuse opens at the latest", HEAVY),
    ("fuse opens soonest", LIGHT),
    ("weakest wire is hurt", DASHED),
    ("m must open, f short far, n short near", DOTTED),
)


def protection(pack: Pack, paper: Paper) -> None:
    """Table of all fuses, the verdict of each, then curves of those that matter most."""
    studies, show, units = pack.sheet.studies, pack.show, pack.build.header.units
    rows = []
    for study in studies:
        rows.append(
            Row(
                (
                    study.id,
                    pack.name(study.id),
                    show("current", study.rating_a),
                    show("current", study.fault_near_a),
                    show("current", study.fault_far_a),
                    format_quantity("duration", study.opens_far_s, units, "never"),
                    format_quantity("duration", study.stands_far_s, units, "never"),
                    _margin(pack, study),
                ),
                f"{_verdict(pack, study)} Curve: {study.curve or 'none'}.",
            )
        )
    paper.table(
        (
            Column("Run", 11, bold=True),
            Column("Name"),
            Column("Fuse", 16, 1),
            Column("Short near", 20, 1),
            Column("Short far", 20, 1),
            Column("Opens", 18, 1),
            Column("Stands", 18, 1),
            Column("Margin", 26, 1),
        ),
        rows,
        "This build has no fuses.",
    )
    if not studies:
        return
    paper.words(
        "Short near and far: a dead short right behind the fuse, and at the far end of what it "
        "guards, from the batteries alone. Opens: at the latest, at the far one. Stands: the "
        "weakest wire that it guards. Margin: stands over opens, where that is least."
    )
    _charts(pack, paper)


def _charts(pack: Pack, paper: Paper) -> None:
    build = pack.build
    sized, items = pack.solved.sized, pack.solved.items
    ranked = sorted(pack.sheet.studies, key=_urgency)
    shown = [s for s in pack.sheet.studies if s in ranked[:MOST_CHARTS]]
    paper.heading("Fuse against wire", _CHART + 30)
    left = len(pack.sheet.studies) - len(shown)
    if left:
        paper.words(f"The {len(shown)} fuses with the least margin; {left} more are in the table.")
    paper.picture(18.5, lambda low: key(paper.ink, LEFT + 1, low + 13.5, _KEY))
    for study in shown:
        points, _ = coordination.window_of(build, FuseFamily(study.family), study.rating_a)
        weakest = study.weakest
        wire = coordination.wire(items[weakest], sized.gauge[weakest]) if weakest in items else None
        rating = pack.show("current", study.rating_a)
        title = f"{pack.name(study.id)} ({study.id}): {rating} {study.family}"
        paper.picture(_CHART + 7.0, partial(_chart, paper, title, study, points, wire))


def _chart(
    paper: Paper, title: str, study: FuseStudy, points: Window, wire: Wire | None, low: float
) -> None:
    """The curves of one fuse under their title."""
    paper.ink.text(LEFT, low + _CHART + 1.5, title, SMALL, bold=True, most=paper.across)
    box = (LEFT, low, paper.across, _CHART)
    if not protection_chart(paper.ink, box, study, points, wire):
        unknown = "No current is known at which it must open."
        paper.ink.text(LEFT, low + _CHART - 6, unknown, SMALL)


def _urgency(study: FuseStudy) -> tuple[bool, float]:
    return study.protects and study.opens and study.breaks, study.margin or 1e9


def _margin(pack: Pack, study: FuseStudy) -> str:
    if study.margin is None:
        return "never hurt" if study.protects else "-"
    return f"{pack.show('margin', study.margin)} at {pack.show('current', study.margin_at_a)}"


def _verdict(pack: Pack, study: FuseStudy) -> str:
    said = "The fuse opens first" if study.protects else "THE WIRE IS HURT FIRST"
    if not study.opens:
        said = "IT MAY NEVER OPEN at the far short"
    if not study.breaks:
        capacity = pack.show("current", study.breaking_a)
        said += f"; near short is over its {capacity} breaking capacity"
    if study.selective is not None:
        said += f"; {'selective' if study.selective else 'not selective'} with {study.upstream}"
    if study.weakest != study.id:
        said += f"; weakest wire: {pack.name(study.weakest)}"
    return f"{said}."
