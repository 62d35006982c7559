"""Findings: what is wrong with a build, where, why in figures, and what to do."""

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
