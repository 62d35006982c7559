"""The length of a run as it is typed: down the column, and in feet where inches make no sense."""

import re
from dataclasses import dataclass
from typing import Any

from domain.build.choices import UnitHabit
from domain.build.edits import Edit
from domain.build.records import Build, Run
from domain.document.records import find
from tui.tables.columns import Column

_BARE = re.compile(r"\s*[0-9]+(?:[.,][0-9]+)?\s*", re.ASCII)


def in_feet(build: Build, run: Any) -> bool:
    """Whether a bare number typed as the length of a run means feet.

    So it is in inch builds for a wire from one zone of the vehicle to another: a main run
    of 16 inches from the engine bay to the boot there is none.
    """
    if build.header.units is not UnitHabit.INCH or not isinstance(run, Run):
        return False
    zones = [getattr(find(build, id), "zone", "") if id else "" for id in (run.source, run.target)]
    return all(zones) and zones[0] != zones[1]


@dataclass(frozen=True, slots=True)
class RunLength(Column):
    """How far a run goes; enter leads to the next one to be measured."""

    @property
    def after_enter(self) -> str:
        """Lengths are filled in down the column."""
        return "down"

    def fills(self, record: Any) -> bool:
        """Whether it is one to be filled in: what the vehicle has already need not be."""
        return isinstance(record, Run) and not record.existing

    def typed(self, document: Any, record: Any, text: str) -> Edit:
        """The length; a bare number is feet for a wire from zone to zone."""
        if _BARE.fullmatch(text) and in_feet(document, record):
            text = f"{text.strip()} ft"
        return Column.typed(self, document, record, text)

    def described(self, document: Any) -> str:
        """What it is and takes."""
        said = Column.described(self, document)
        if isinstance(document, Build) and document.header.units is UnitHabit.INCH:
            return said.replace("is inches", "is inches, from zone to zone feet")
        return said
