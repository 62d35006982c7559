"""Does every fuse open before its wire is hurt? The study as a table, and its curves."""

from functools import partial

from domain.build.choices import FuseFamily
from domain.electrical.protection import coordination
from domain.electrical.protection.opening import Window
from domain.electrical.protection.withstand import Wire
from domain.sheet import FuseStudy
from domain.topics.fuse_study import STUDIES, urgency
from storage.pack.pack_context import Pack
from storage.pack.pages import LEFT, SMALL, Paper
from storage.pack.topic_tables import Wide, lay
from storage.pack.vector_charts import DASHED, DOTTED, HEAVY, LIGHT, key, protection_chart

MOST_CHARTS = 8
"""Most fuses that are drawn: those with the least margin."""

_CHART = 63.0
_KEY = (
    ("fuse opens at the latest", HEAVY),
    ("fuse opens soonest", LIGHT),
    ("weakest wire overheats", DASHED),
    ("m must open, f short far, n short near", DOTTED),
)


def protection(pack: Pack, paper: Paper) -> None:
    """Table of all fuses, the verdict of each, then curves of those that matter most."""
    wide = {
        "id": Wide(11, bold=True),
        "name": Wide(),
        "fuse": Wide(16),
        "near": Wide(20),
        "far": Wide(20),
        "opens": Wide(18),
        "stands": Wide(18),
        "margin": Wide(26),
    }
    lay(pack.subject, paper, STUDIES, wide)
    if pack.sheet.studies:
        paper.words(STUDIES.legend)
        _charts(pack, paper)


def _charts(pack: Pack, paper: Paper) -> None:
    build = pack.build
    sized, items = pack.solved.sized, pack.solved.items
    ranked = sorted(pack.sheet.studies, key=urgency)
    shown = [s for s in pack.sheet.studies if s in ranked[:MOST_CHARTS]]
    paper.heading("Fuse against wire", _CHART + 22)
    left = len(pack.sheet.studies) - len(shown)
    if left:
        paper.words(f"The {len(shown)} fuses with the least margin; {left} more are in the table.")
    paper.picture(10.1, partial(_key, paper))
    for study in shown:
        points, _ = coordination.window_of(build, FuseFamily(study.family), study.rating_a)
        weakest = study.weakest
        wire = coordination.wire(items[weakest], sized.gauge[weakest]) if weakest in items else None
        rating = pack.show("current", study.rating_a)
        title = f"{pack.name(study.id)} ({study.id}): {rating} {study.family}"
        paper.picture(_CHART + 7.0, partial(_chart, paper, title, study, points, wire))


def _key(paper: Paper, low: float) -> None:
    """The key of all charts, in two columns."""
    half = len(_KEY) // 2
    for i, entries in enumerate((_KEY[:half], _KEY[half:])):
        key(paper.ink, LEFT + 1 + i * paper.across / 2, low + 5.1, entries)


def _chart(
    paper: Paper, title: str, study: FuseStudy, points: Window, wire: Wire | None, low: float
) -> None:
    """The curves of one fuse under their title."""
    paper.ink.text(LEFT, low + _CHART + 1.5, title, SMALL, bold=True, most=paper.across)
    box = (LEFT, low, paper.across, _CHART)
    if not protection_chart(paper.ink, box, study, points, wire):
        unknown = "No current is known at which it must open."
        paper.ink.text(LEFT, low + _CHART - 6, unknown, SMALL)
