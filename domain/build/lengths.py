"""The length of a run as people type it: bare feet for a wire that goes through the vehicle."""

import re

from domain.build.choices import UnitHabit
from domain.build.edits import Scalar
from domain.build.fields import parse_field
from domain.build.records import Build, Run
from domain.document.records import find

_BARE = re.compile(r"\s*[0-9]+(?:[.,][0-9]+)?\s*", re.ASCII)


def in_feet(build: Build, run: Run) -> bool:
    """Whether a bare number typed as the length of a run means feet.

    So it is in inch builds for a wire from one zone of the vehicle to another: a main run
    of 16 inches from the engine bay to the boot there is none.
    """
    if build.header.units is not UnitHabit.INCH:
        return False
    zones = [getattr(find(build, id), "zone", "") if id else "" for id in (run.source, run.target)]
    return all(zones) and zones[0] != zones[1]


def run_length(build: Build, run: Run, text: str) -> Scalar:
    """The length of a run [m] from what was typed; ``UnitError`` if it cannot be read."""
    if _BARE.fullmatch(text) and in_feet(build, run):
        text = f"{text.strip()} ft"
    return parse_field(build, "runs", "length_m", text)
