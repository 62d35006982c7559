"""Findings: what is wrong with a build, where, why in figures, and what to do."""

from collections.abc import Collection, Iterable
from enum import StrEnum

from msgspec import Struct


class Level(StrEnum):
    """How bad it is."""

    STOP = "stop"
    FIX = "fix"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """Order of urgency: 0 is the worst."""
        return list(Level).index(self)


class Finding(Struct, frozen=True):
    """One finding.

    ``table``, ``id`` and ``field`` name the field that would mend it (``table`` "" where no
    single field does). ``why`` carries the figures; ``source`` the rule or "common practice".
    """

    level: Level
    code: str
    what: str
    why: str
    do: str
    source: str
    table: str = ""
    id: str = ""
    field: str = ""

    @property
    def with_do(self) -> str:
        """What is wrong and what to do, as two sentences."""
        return f"{self.what}{'' if self.what.endswith('?') else '.'} Do: {self.do}"


def brought(
    before: Iterable[Finding], after: Iterable[Finding], places: Collection[tuple[str, str, str]]
) -> Finding | None:
    """What now forbids the build at one of these places (table, id, field), and did not before."""
    had = {(each.code, each.table, each.id) for each in before}
    return next(
        (
            each
            for each in after
            if each.level is Level.STOP
            and (each.table, each.id, each.field) in places
            and (each.code, each.table, each.id) not in had
        ),
        None,
    )
