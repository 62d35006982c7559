"""Places and sections to start from, and the devices of a build put at them, as one edit."""

from enum import StrEnum
from functools import partial
from typing import NamedTuple

from domain.build.dialect import in_words, words_of
from domain.build.edits import AddRecord, Batch, Edit, EditRefused, Scalar, SetField
from domain.build.records import DEVICE_TABLES, Build
from domain.document.records import next_id, records
from domain.electrical.covers import engine_bay


class Vehicle(StrEnum):
    """What kind of vehicle the places are those of."""

    CAR = "car"
    VAN = "van"


class _Layout(NamedTuple):
    """Names of places; pairs of them that a section joins; where devices stand to begin with.

    ``front``: those in the engine bay, ``rear``: those in the last location, ``middle``: others,
    ``dash``: what switches. The first section goes from the battery's post through the firewall.
    """

    places: tuple[str, ...]
    sections: tuple[tuple[int, int], ...]
    front: int
    dash: int
    middle: int
    rear: int


_LAYOUTS = {
    Vehicle.CAR: _Layout(
        ("Battery post", "Firewall", "Sill", "Rear seat", "Trunk floor"),
        ((0, 1), (1, 2), (2, 3), (3, 4)),
        *(0, 1, 3, 4),
    ),
    Vehicle.VAN: _Layout(
        (
            *("Battery post", "Firewall", "Seat base", "Left sill", "Right sill"),
            *("Rear doors", "Wheel arch", "Roof"),
        ),
        ((0, 1), (1, 2), (2, 3), (2, 4), (3, 5), (4, 6), (6, 7)),
        *(0, 1, 2, 5),
    ),
}
"""Usual ways of wires through a vehicle (common practice): names and lengths are the user's."""


def starter_places(build: Build, vehicle: Vehicle) -> Batch:
    """The places of a car or a van, the sections between them, and every device at one of them.

    A device that stands at a place already stays there. ``EditRefused`` where there are places.
    """
    if build.places:
        raise EditRefused("this vehicle has its places already: add what is missing one by one")
    layout, called = _LAYOUTS[vehicle], partial(in_words, words_of(build.header))
    edits: list[Edit] = []
    ids: list[str] = []
    for name in layout.places:
        ids.append(next_id(build, "places", frozenset(ids)))
        edits.append(AddRecord(table="places", record={"id": ids[-1], "name": called(name)}))
    bay = next((zone.id for zone in build.zones if engine_bay(zone)), "")
    taken: list[str] = []
    for number, (one, other) in enumerate(layout.sections):
        taken.append(next_id(build, "sections", frozenset(taken)))
        record: dict[str, Scalar] = {
            "id": taken[-1],
            "from_place": ids[one],
            "to_place": ids[other],
        }
        if not number:
            record |= {"zone": bay, "panel": called("firewall")}
        elif cabin := _zone(build, bay, last=other in (layout.rear, *range(5, len(ids)))):
            record["zone"] = cabin
        edits.append(AddRecord(table="sections", record=record))
    edits += _stand(build, layout, ids)
    return Batch(edits=tuple(edits), label=f"add the places of a {vehicle.value}")


def _zone(build: Build, bay: str, *, last: bool) -> str:
    """The location of sections behind the firewall: the last one at the rear, else the first."""
    inside = [zone.id for zone in build.zones if zone.id != bay]
    return inside[-1 if last else 0] if inside else ""


def _stand(build: Build, layout: _Layout, ids: list[str]) -> list[Edit]:
    zones = {zone.id: zone for zone in build.zones}
    rear = build.zones[-1].id if build.zones else ""
    edits: list[Edit] = []
    for table in (*DEVICE_TABLES, "remotes"):
        for device in records(build, table):
            if device.place:
                continue
            zone = getattr(device, "zone", "")
            at = layout.middle
            if table == "remotes":
                at = layout.dash
            elif table == "alternators" or engine_bay(zones.get(zone)):
                at = layout.front
            elif zone and zone == rear:
                at = layout.rear
            value = ids[at]
            edits.append(SetField(table=table, id=device.id, field="place", value=value))
    return edits
