"""The run schedule with the text of every label."""

from domain.sheet import RunResult
from domain.topics.runs import LEADS, REMOTES, SCHEDULE
from domain.topics.tables import Subject
from storage.pack.pack_context import Pack
from storage.pack.pages import Paper
from storage.pack.topic_tables import Wide, lay

_WIDE = {
    "id": Wide(11, bold=True),
    "name": Wide(most=52),
    "length": Wide(24),
    "wire": Wide(20),
    "holds": Wide(15),
    "fuse": Wide(17),
    "full": Wide(17),
    "drop": Wide(16),
    "warm": Wide(15),
}

_REMOTES = {
    "name": Wide(),
    "devices": Wide(16),
    "draw": Wide(20),
    "given": Wide(20),
    "limit": Wide(20),
    "by": Wide(70),
}

_LEADS = {
    "id": Wide(11, bold=True),
    "name": Wide(most=4),
    "ends": Wide(62, most=4),
    "length": Wide(22),
    "wire": Wide(22),
    "carries": Wide(17),
    "fuse": Wide(14),
}


def runs(pack: Pack, paper: Paper) -> None:
    """Every run; the ends and the labels of its pieces below it."""
    paper.words(SCHEDULE.legend)
    labels: dict[str, list[str]] = {}
    for group in pack.cuts.groups:
        for piece in group.pieces:
            labels.setdefault(piece.run, []).append(piece.label)
    looms = {id: loom.name for loom in pack.sheet.looms for id in loom.runs}

    def below(subject: Subject, run: RunResult) -> str:
        ends = f"From {_short(subject.name(run.source))} to {_short(subject.name(run.target))}."
        loom = looms.get(run.id)
        lies = f"Harness: {_short(loom)}, derated for {run.bundle} together." if loom else ""
        if run.existing:
            made = "Already in the vehicle: not cut, check it."
        else:
            texts = labels.get(run.id, [])
            made = f"{run.polarity.capitalize()}, {run.metal}. "
            made += f"{'Labels' if len(texts) > 1 else 'Label'}: "
            made += "; ".join(_short(text, 120) for text in texts) + "."
        return " ".join(filter(None, (ends, lies, made, subject.stops(run.id))))

    lay(pack.subject, paper, SCHEDULE, _WIDE, note=below)
    if pack.sheet.leads:
        paper.heading("Switching, signal and loudspeaker leads")
        lay(pack.subject, paper, REMOTES, _REMOTES)
        paper.words(LEADS.legend)
        lay(pack.subject, paper, LEADS, _LEADS)


def _short(text: str, most: int = 60) -> str:
    return text if len(text) <= most else text[: most - 1] + "…"
