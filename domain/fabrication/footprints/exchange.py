"""Footprints that go from one build to another, or between a build and the shop's library.

What arrives is a copy with ids of its own: nothing that changes where it came from reaches it.
"""

from typing import Any

from domain.build.edits import AddRecord, Batch, Edit, EditRefused, RemoveRecord
from domain.build.records import Build, Footprint
from domain.document.records import find, label, next_id

MEASURED = ("mass_kg", "length_m", "width_m", "height_m", "foot_m")
"""What was measured of a device."""


def measured(build: Build, id: str) -> tuple[Any, ...]:
    """All that was measured of a footprint and its studs, whatever their ids and order."""
    footprint = _footprint(build, id)
    studs = sorted(
        (stud.x_m, stud.y_m, stud.kind.value, stud.thread, stud.screw_m or 0.0)
        for stud in build.studs
        if stud.footprint == id
    )
    return (*(getattr(footprint, name) for name in MEASURED), *studs)


def footprint_name(build: Build, id: str) -> str:
    """What a footprint is called, or the device it belongs to; never empty."""
    footprint = _footprint(build, id)
    device = label(build, footprint.device) if footprint.device else ""
    return footprint.name.strip() or device.strip() or f"Hole pattern {id[1:]}"


def copy_of(source: Build, id: str, into: Build, name: str) -> list[Edit]:
    """Add a footprint of one build, with its studs, to another under this name."""
    footprint = _footprint(source, id)
    new = next_id(into, "footprints")
    values = {**footprint.plain(), "id": new, "name": name, "device": ""}
    edits: list[Edit] = [AddRecord(table="footprints", record=values)]
    taken: frozenset[str] = frozenset()
    for stud in source.studs:
        if stud.footprint == id:
            own = next_id(into, "studs", taken)
            taken |= {own}
            record = {**stud.plain(), "id": own, "footprint": new}
            edits.append(AddRecord(table="studs", record=record))
    return edits


def taken_footprint(build: Build, library: Build, id: str) -> Batch:
    """Add a copy of one of the library's footprints to a build."""
    name = footprint_name(library, id)
    return Batch(edits=tuple(copy_of(library, id, build, name)), label=f"take {name} from the shop")


def kept_footprint(library: Build, build: Build, id: str, name: str) -> Batch:
    """Add a copy of a build's footprint to the library, in the place of the one of this name."""
    edits: list[Edit] = []
    for old in library.footprints:
        if old.name == name:
            edits += [
                RemoveRecord(table="studs", id=stud.id)
                for stud in library.studs
                if stud.footprint == old.id
            ]
            edits.append(RemoveRecord(table="footprints", id=old.id))
    return Batch(edits=(*edits, *copy_of(build, id, library, name)), label=f"keep {name}")


def _footprint(build: Build, id: str) -> Footprint:
    footprint = find(build, id)
    if not isinstance(footprint, Footprint):
        raise EditRefused(f"there is no hole pattern {id!r}")
    return footprint
