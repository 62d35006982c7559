"""The first page: what the job is, its main figures, what is in the pack."""

from collections.abc import Sequence

from domain.topics.findings import unsettled
from domain.topics.job import about, main_figures
from domain.topics.loads import AMPLIFIERS, APPLIANCES
from domain.topics.tables import TEXT, Fact
from storage.pack.pack_context import Pack
from storage.pack.pages import LEFT, RIGHT, SMALL, Column, Paper
from storage.pack.topic_tables import Wide, lay


def summary(pack: Pack, paper: Paper) -> None:
    """Who and what it is for, and the figures that everybody asks for."""
    subject = pack.subject
    stand = (Fact("Revision", TEXT, pack.revision), Fact("Date", TEXT, pack.date))
    for fact in (*about(subject), *stand):
        if fact.value:
            paper.words(f"{fact.title}: {fact.value}")
    paper.heading("Main figures")
    rows = [(fact.title, subject.show(fact.kind, fact.value)) for fact in main_figures(subject)]
    paper.table((Column("", 82), Column("", bold=True, most=4)), rows)
    stops = unsettled(pack.sheet)
    if stops:
        paper.words(stops, bold=True)
    paper.heading("Amplifiers")
    wide = {
        "name": Wide(),
        "rated": Wide(20),
        "full": Wide(20),
        "programme": Wide(23),
        "drop": Wide(17),
        "out": Wide(18),
        "back": Wide(19),
    }
    lay(subject, paper, AMPLIFIERS, wide)
    if pack.sheet.appliances:
        paper.heading("Other loads")
        wide = {"name": Wide(), "kind": Wide(30), "rated": Wide(20), "works": Wide(30)}
        lay(subject, paper, APPLIANCES, {**wide, "full": Wide(20), "average": Wide(20)})


def contents(paper: Paper, titles: Sequence[str]) -> None:
    """What is in the pack and on which page; the pages are filled in at the end."""
    if not titles:
        return
    paper.heading("In this pack", keep=min(5.0 * len(titles), 120.0))
    right = paper.width - RIGHT
    for title in titles:

        def line(low: float, title: str = title) -> None:
            def number(total: int) -> None:
                page = paper.starts.get(title)
                paper.ink.text(right, low + 1.2, str(page) if page else "-", SMALL, align=1)

            paper.ink.text(LEFT, low + 1.2, title, SMALL)
            paper.ink.later(number)

        paper.picture(5.0, line)
