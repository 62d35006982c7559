"""Places of the vehicle, the sections between them, and what stands where."""

from typing import Any

from domain.build.choices import UnitHabit
from domain.build.edits import Edit, SetField
from domain.build.records import DEVICE_TABLES, Build, table_of
from domain.document.records import label, records
from domain.routes.ways import places_of
from domain.sheet import Sheet
from domain.topics.ways.sections import SECTIONS as RESULTS
from tui.tables.cell_figures import shown_by
from tui.tables.columns import Column, Figure
from tui.tables.table_spec import TableSpec, columns_of, every_record


class StandsAt(Column, frozen=True):
    """The place that a device stands at: who is moved is measured again."""

    @property
    def after_enter(self) -> str:
        """Places are filled in down the column."""
        return "down"

    def typed(self, build: Build, record: Any, text: str) -> Edit:
        """Put it at the place of this name."""
        from domain.build.fields import parse_field

        return self._set(record, parse_field(build, self.table, self.field, text), build)

    def options(self, build: Build, record: Any) -> list[tuple[str, Edit]]:
        """Every place."""
        from domain.build.fields import choices

        found = choices(build, self.table, self.field)
        return [(name, self._set(record, value, build)) for value, name in found]

    def stepped(self, build: Build, record: Any) -> Edit | None:
        """The next place."""
        edits = [edit for _, edit in self.options(build, record)]
        now = self._set(record, record.place, build)
        return edits[(edits.index(now) + 1) % len(edits)] if now in edits else edits[0]

    def _set(self, record: Any, value: Any, build: Build | None = None) -> Edit:
        from domain.routes.moving import stand_at

        if build is not None:
            return stand_at(build, record.id, str(value or ""))
        return SetField(table=table_of(record.id), id=record.id, field="place", value=value)


class SectionLength(Column, frozen=True):
    """How long a section is: down the column, a bare number in feet where inches are the habit."""

    @property
    def after_enter(self) -> str:
        """Lengths are filled in down the column."""
        return "down"

    def typed(self, document: Any, record: Any, text: str) -> Edit:
        """The length."""
        return Column.typed(self, document, record, in_feet(document, text))

    def taken(self, document: Any, record: Any, text: str) -> Any:
        """That a bare number was taken as feet."""
        from domain.build.lengths import TakenAs

        if in_feet(document, text) == text:
            return None
        bare = text.strip()
        return TakenAs(f'Taken as {bare} ft; {bare}" for inches', "feet")

    def described(self, document: Any) -> str:
        """What it is and takes."""
        said = Column.described(self, document)
        return said.replace("bare: inches", "bare: feet")


def in_feet(document: Any, text: str) -> str:
    """A bare number as feet in a build in inches: from place to place it is a longer way."""
    bare = text.strip().removeprefix("~").replace(",", ".", 1)
    number = bare.replace(".", "", 1).isdecimal() and bare.isascii()
    if number and document.header.units is UnitHabit.INCH:
        return f"{bare} ft"
    return text


class SectionName(Column, frozen=True):
    """A section's name: where it has none, what it is called by its ends."""

    def shown(self, build: Build, sheet: Sheet, record: Any) -> str:
        """What it is called."""
        return record.name or f"~{label(build, record.id)}"

    def opened(self, build: Build, sheet: Sheet, record: Any) -> str:
        """The name that was entered."""
        return str(record.name)


def _standing(build: Build, sheet: Sheet, record: Any) -> str:
    own = [id for id, place in places_of(build).items() if place == record.id]
    return ", ".join(label(build, id) for id in own) or "-"


def _location(build: Build, sheet: Sheet, record: Any) -> str:
    zone = getattr(record, "zone", "")
    return label(build, zone) if zone else "-"


PLACES = TableSpec(
    "places",
    "ways",
    "places",
    "Places of the vehicle (ctrl+n adds one)",
    (
        *columns_of("places", ("name", "Place", 18)),
        Figure("places", "·stands", "·What stands there", 40, figure=_standing),
        *columns_of("places", ("hint", "Note", 30)),
    ),
    every_record("places"),
    empty="ctrl+n: the usual places of a car or a van, or one place",
)

SECTIONS = TableSpec(
    "sections",
    "ways",
    "sections",
    "Sections: from place to place",
    (
        SectionName("sections", "name", "Section", 27),
        SectionLength("sections", "length_m", "Length", 10),
        Figure("sections", "·wires", "·Wires", 6, figure=shown_by(RESULTS, "wires")),
        Figure("sections", "·thick", "·Thick", 8, figure=shown_by(RESULTS, "thick")),
        *columns_of(
            "sections",
            ("panel", "Panel crossed", 14),
            ("hole", "Hole", 17),
            ("zone", "Location", 12),
            ("from_place", "From", 14),
            ("to_place", "To", 14),
            ("cover", "Cover", 8),
            ("fuel", "Fuel line", 9),
            ("airbag", "Airbag", 6),
            ("high_voltage", "High voltage", 12),
            ("exhaust", "Exhaust", 7),
            ("hint", "Note", 30),
        ),
    ),
    every_record("sections"),
    first="length_m",
    empty="ctrl+n adds one between two places",
)

STANDING = TableSpec(
    "standing",
    "ways",
    "",
    "What stands where",
    (
        Figure("", "·device", "·Device", 26, figure=lambda b, s, record: label(b, record.id)),
        StandsAt("batteries", "place", "Place", 18),
        Figure("", "·location", "·Location", 18, figure=_location),
    ),
    lambda build, sheet, part: [
        device for table in (*DEVICE_TABLES, "remotes") for device in records(build, table)
    ],
    empty="nothing stands anywhere yet",
)

WAYS = (PLACES, SECTIONS, STANDING)
