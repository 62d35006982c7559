"""The length of a run as people type it: bare feet for a wire that goes through the vehicle.

"2x16" is two wires side by side, and the leads of a bank are of one length.
"""

import re
from typing import NamedTuple

from domain.build.banks import beside
from domain.build.choices import UnitHabit
from domain.build.edits import Batch, Edit, Scalar, SetField
from domain.build.fields import parse_field
from domain.build.records import Build, Run
from domain.document.records import Record, find, label
from domain.patterns import Pattern
from domain.units.parse import UnitError
from domain.units.show import format_quantity

_BARE = Pattern(r"\s*[0-9]+(?:[.,][0-9]+)?\s*", re.ASCII)


_SEVERAL = Pattern(r"\s*([0-9]{1,4})\s*[x×*]\s*(.*)", re.ASCII | re.DOTALL)

MOST_WIRES = 8
"""As many wires side by side as a run may be."""

SHORT_IN = 6.0
"""A bare number below this, taken as inches, may well have been meant as feet [in]."""


class TakenAs(NamedTuple):
    """What a bare number was taken as, in words, and the rule by which: said once, and known.

    No rule where it is doubtful: that is said each time.
    """

    said: str
    rule: str


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


def taken_as(build: Build, of: Record | None, text: str) -> TakenAs | None:
    """What a bare number was taken as that was typed as a length, in an inch build; else nothing.

    ``of``: the run that it is the length of; any other length is in inches.
    """
    several = _SEVERAL.fullmatch(text)
    bare = (several[2] if several else text).strip()
    if build.header.units is not UnitHabit.INCH or not _BARE.fullmatch(bare):
        return None
    if isinstance(of, Run) and in_feet(build, of):
        said = f'Taken as {bare} ft, from one location to another; {bare}" for inches'
        return TakenAs(said, "feet")
    short = float(bare.replace(",", ".")) < SHORT_IN
    return TakenAs(f"Taken as {bare} in; {bare}' for feet", "" if short else "inches")


def measured(build: Build, run: Run, text: str) -> Edit:
    """The edit that gives a run the length that was typed, and so many wires where it says so.

    The other leads of its bank that are not measured yet get the same. ``UnitError`` if the text
    cannot be read.
    """
    several = _SEVERAL.fullmatch(text)
    if several and not (several[2] and 1 <= int(several[1]) <= MOST_WIRES):
        raise UnitError(
            f"{text.strip()!r} is read as wires side by side and their length: 1 to {MOST_WIRES} "
            "of them, such as 2x16"
        )
    values: dict[str, Scalar] = {
        "length_m": run_length(build, run, several[2] if several else text)
    }
    if several:
        values["count"] = int(several[1])
    leads = [lead for lead in beside(build, run) if lead.length_m is None]
    edits = tuple(
        SetField(table="runs", id=each.id, field=field, value=value)
        for each in (run, *leads)
        for field, value in values.items()
    )
    if len(edits) == 1:
        return edits[0]
    also = ", and of the other leads of its bank" if leads else ""
    return Batch(edits=edits, label=f"the length of {label(build, run.id)}{also}")


def lost(before: Build, after: Build) -> str:
    """What to say of measured lengths that an edit dropped as an end of the run moved; else ""."""
    was = {run.id: run for run in before.runs}
    said = []
    for run in after.runs:
        old = was.get(run.id)
        if old is None or old.length_m is None or run.length_m is not None:
            continue
        if (old.source, old.target) != (run.source, run.target):
            shown = format_quantity("length", old.length_m, after.header.units)
            said.append(f"{label(after, run.id)}: its {shown} was measured for the old way")
    if not said:
        return ""
    return f"{'; '.join(said)}: measure {'it' if len(said) == 1 else 'them'} anew"
