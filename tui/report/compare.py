"""Builds side by side: masses, drops, supply, sizes and findings that differ."""

from collections.abc import Sequence

from domain.build.records import Build
from domain.document.records import label
from domain.electrical.transient.results import KickStudy
from domain.findings import Finding
from domain.sheet import Sheet
from domain.shop.catalogue import CatalogueItem
from domain.topics.compare import change, differing_runs, figures
from domain.topics.kick.beside import kick_facts
from domain.topics.tables import Fact, Subject
from tui.report.plain import WIDTH, Column, table, wrap


def comparison(
    one: tuple[Build, Sheet],
    other: tuple[Build, Sheet],
    items: Sequence[CatalogueItem] = (),
    kicks: Sequence[KickStudy | None] = (),
) -> str:
    """Two builds with their sheets as text, in the units of the first, ending in a newline.

    ``items`` are the shop's: at their prices the wire of both costs what is said. ``kicks`` are
    what the kick drum does to each, if that is to be said.
    """
    a, b = Subject(*one), Subject(*other)
    lines = [
        *wrap(a.build.header.title or "Untitled build", "A  "),
        *wrap(b.build.header.title or "Untitled build", "B  "),
        "=" * WIDTH,
    ]
    rows = [
        (
            mine.title,
            a.show(mine.kind, mine.value),
            a.show(theirs.kind, theirs.value),
            change(mine, theirs),
        )
        for mine, theirs in zip(
            (*figures(a, items), *_kick(a, kicks, 0)),
            (*figures(b, items), *_kick(b, kicks, 1)),
            strict=True,
        )
    ]
    columns = (Column("", 24), *(Column(t, 14, True) for t in ("A", "B")), Column("B to A", 20))
    lines += table(columns, rows)
    for title, body in (
        ("Wire and fuses that differ", _runs(a, b)),
        ("Findings of A alone", _findings(a, b)),
        ("Findings of B alone", _findings(b, a)),
    ):
        lines += ["", title.upper(), *(body or ["none"])]
    return "\n".join(lines) + "\n"


def side_by_side(
    builds: Sequence[tuple[Build, Sheet]],
    items: Sequence[CatalogueItem] = (),
    kicks: Sequence[KickStudy | None] = (),
) -> str:
    """The figures of three builds or more, in the units of the first, ending in a newline."""
    subjects = [Subject(*each) for each in builds]
    first = subjects[0]
    letters = [chr(ord("A") + number) for number in range(len(subjects))]
    lines = [
        line
        for letter, each in zip(letters, subjects, strict=True)
        for line in wrap(each.build.header.title or "Untitled build", f"{letter}  ")
    ]
    facts = [
        (*figures(each, items), *_kick(each, kicks, number)) for number, each in enumerate(subjects)
    ]
    rows = [
        (row[0].title, *(first.show(fact.kind, fact.value) for fact in row))
        for row in zip(*facts, strict=True)
    ]
    width = max((WIDTH - 24) // len(subjects) - 2, 8)
    columns = (Column("", 24), *(Column(letter, width, True) for letter in letters))
    return "\n".join([*lines, "=" * WIDTH, *table(columns, rows)]) + "\n"


def _kick(subject: Subject, kicks: Sequence[KickStudy | None], number: int) -> tuple[Fact, ...]:
    return kick_facts(subject, kicks[number]) if kicks else ()


def _runs(a: Subject, b: Subject) -> list[str]:
    columns = (
        Column("Run", 40),
        *(Column(title, 14) for title in ("Wire A", "Wire B")),
        *(Column(title, 8, True) for title in ("Fuse A", "Fuse B")),
    )
    rows = [(each.name, *each.wires, *each.fuses) for each in differing_runs(a, b)]
    return table(columns, rows) if rows else []


def _findings(own: Subject, beside: Subject) -> list[str]:
    """Findings that the other build has not, by code and the name of what they are about."""
    known = {_about(beside, finding) for finding in beside.sheet.findings}
    lines = []
    for f in own.sheet.findings:
        if _about(own, f) not in known:
            lines += wrap(f"{f.what} [{f.code}]", f"{f.level.upper():<5}", " " * 5)
    return lines


def _about(subject: Subject, finding: Finding) -> tuple[str, str]:
    return finding.code, label(subject.build, finding.id) if finding.id else ""
