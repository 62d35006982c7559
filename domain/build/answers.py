"""What a new build asks first, and the build that the answers begin; nothing has to be answered."""

from msgspec import Struct

from domain.build.actions import applied
from domain.build.choices import Drive, Polarity, UnitHabit
from domain.build.dialect import in_words, words_of
from domain.build.edits import AddRecord, Edit, Scalar, SetField
from domain.build.fields import parse_field
from domain.build.records import Build
from domain.build.start import ZONES, start_build
from domain.document.records import next_id

ENGINE_BAY = ZONES[0][0]
"""Where the starter battery sits if nothing else is said."""

REAR_GAUGE = "AWG 1/0"
"""The vehicle's own cable to a battery away from the engine: it carries the starter's current.

50 mm2 and more are usual, from memory: an example to look at in the vehicle.
"""


class Answers(Struct, frozen=True):
    """What is known of a job before its first amplifier; the fields of a new build's questions.

    ``battery_place`` is the name of one of a new build's locations.
    """

    title: str = "New build"
    customer: str = ""
    vehicle: str = ""
    units: UnitHabit = UnitHabit.INCH
    drive: Drive = Drive.COMBUSTION
    smart_alternator: bool = False
    battery_place: str = ENGINE_BAY


def begun(answers: Answers) -> Build:
    """The build that these answers begin; ``UnitError`` where one of them cannot be taken."""
    build = start_build(units=answers.units)
    texts = {
        "title": answers.title.strip() or "New build",
        "customer": answers.customer,
        "vehicle": answers.vehicle,
    }
    values: dict[str, Scalar] = {
        **{field: parse_field(build, "header", field, text) for field, text in texts.items()},
        "drive": answers.drive,
        "smart_alternator": answers.smart_alternator and answers.drive is Drive.COMBUSTION,
    }
    edits: list[Edit] = [SetField(table="header", field=f, value=v) for f, v in values.items()]
    if answers.drive.high_voltage:
        source = build.alternators[0].id
        edits.append(_set("alternators", source, "name", "12 V converter"))
    if answers.battery_place != ENGINE_BAY:
        edits += _battery_at(build, answers.battery_place)
    return applied(build, *edits)


def _battery_at(build: Build, place: str) -> list[Edit]:
    """The starter battery with its ground and main run in another location than the engine bay.

    What charges it stays there, with a ground point of its own; its cable leads through the
    vehicle.
    """
    said = in_words(words_of(build.header), place)
    zone = next(each.id for each in build.zones if each.name == said)
    battery, source = build.batteries[0], build.alternators[0]
    home = next(
        run for run in build.runs if run.source == battery.id and run.polarity is Polarity.GROUND
    )
    strap, cable = (
        next(run for run in build.runs if run.source == source.id and run.polarity is polarity)
        for polarity in (Polarity.GROUND, Polarity.POSITIVE)
    )
    main = next(
        run for run in build.runs if run.source == battery.id and run.polarity is Polarity.POSITIVE
    )
    point = next_id(build, "grounds")
    ground: dict[str, Scalar] = {
        "id": point,
        "name": in_words(words_of(build.header), "Engine ground"),
        "surface": "plated stud",
        "zone": source_zone(build),
    }
    return [
        AddRecord(table="grounds", record=ground),
        _set("runs", strap.id, "target", point),
        _set("runs", cable.id, "gauge", REAR_GAUGE),
        _set("batteries", battery.id, "zone", zone),
        _set("grounds", home.target, "zone", zone),
        _set("runs", home.id, "zone", zone),
        _set("runs", main.id, "zone", zone),
    ]


def source_zone(build: Build) -> str:
    """The location of what charges a new build: the engine bay."""
    return build.zones[0].id


def _set(table: str, id: str, field: str, value: Scalar) -> Edit:
    return SetField(table=table, id=id, field=field, value=value)
