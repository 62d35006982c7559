"""The table of meter readings: what should be read, what was read, and whether that passes."""

from typing import Any

from msgspec import Struct

from domain.build.choices import Meter, NetworkMode, shown
from domain.build.edits import AddRecord, Batch, Edit, RemoveRecord, SetField
from domain.build.records import Build
from domain.document.records import label, next_id
from domain.electrical.meter.readings import JudgedReading, PredictedReading
from domain.sheet import Sheet
from domain.topics.shower import shower
from domain.units.show import format_signed
from tui.tables.columns import Column, Figure
from tui.tables.level_styles import BAD
from tui.tables.table_spec import TableSpec

ACROSS = {
    Meter.TERMINALS: "terminals",
    Meter.ALONG: "end to end",
    Meter.TO_BATTERY: "to batt -",
}
"""Where the probes go, in a word."""


class ReadingRow(Struct, frozen=True):
    """A place to read at: what is predicted there, and what the user read if anything."""

    id: str
    at: str
    meter: Meter
    mode: NetworkMode
    predicted: PredictedReading | None
    judged: JudgedReading | None


_last: list[tuple[Build, Sheet, list[ReadingRow]]] = []


def reading_rows(build: Build, sheet: Sheet) -> list[ReadingRow]:
    """Every predicted reading in the order of the walk, then readings that nothing predicts."""
    if not _last or _last[0][0] is not build or _last[0][1] is not sheet:
        _last[:] = [(build, sheet, _reading_rows(build, sheet))]
    return _last[0][2]


def _reading_rows(build: Build, sheet: Sheet) -> list[ReadingRow]:
    from domain.electrical.meter.readings import judged, predicted

    typed: dict[tuple[str, Meter, NetworkMode], JudgedReading] = {}
    rest = []
    for each in judged(build, sheet):
        place = each.at, each.meter, each.mode
        if place in typed:
            rest.append(each)
        else:
            typed[place] = each
    rows = []
    for foretold in predicted(build, sheet):
        place = foretold.at, foretold.meter, foretold.mode
        id = f"{foretold.at}|{foretold.meter.name}|{foretold.mode.value}"
        rows.append(ReadingRow(id, *place, foretold, typed.pop(place, None)))
    rest += typed.values()
    return rows + [ReadingRow(each.id, each.at, each.meter, each.mode, None, each) for each in rest]


def modes_of(build: Build, sheet: Sheet) -> list[NetworkMode]:
    """The states that have readings, in order of use."""
    return list(dict.fromkeys(row.mode for row in reading_rows(build, sheet)))


def _rows(build: Build, sheet: Sheet, part: str) -> list[Any]:
    return [row for row in reading_rows(build, sheet) if part in ("", row.mode.value)]


def _at(build: Build, sheet: Sheet, row: ReadingRow) -> str:
    return label(build, row.at)


def _should(build: Build, sheet: Sheet, row: ReadingRow) -> str:
    known = row.predicted or row.judged
    if known is None or known.predicted_v is None or known.tolerance_v is None:
        return "-"
    show = shower(build)
    should = show("voltage", known.predicted_v).removesuffix(" V")
    return f"{should} ±{show('voltage', known.tolerance_v)}"


def _verdict(build: Build, sheet: Sheet, row: ReadingRow) -> str:
    judged = row.judged
    if judged is None or (judged.value_v is None and judged.predicted_v is not None):
        return "not read"
    if judged.ok is None or judged.difference_v is None:
        return "no plan"
    if judged.ok:
        return "pass"
    apart = format_signed("voltage", judged.difference_v, build.header.units)
    return f"FAIL {apart.removesuffix(' V')}"


def _order(build: Build, sheet: Sheet, row: ReadingRow) -> str:
    return str(row.predicted.order) if row.predicted else "-"


class ReadingValue(Column, frozen=True):
    """What the meter showed: typing adds the reading or changes it, leaving it empty removes it."""

    def described(self, build: Build) -> str:
        """What may be typed."""
        return "Reading: what the meter showed; type 14.2, 14.2 V or 350 mV; delete forgets it"

    def shown(self, build: Build, sheet: Sheet, record: ReadingRow) -> str:
        """The value in volts, or a dash."""
        value = record.judged.value_v if record.judged else None
        return shower(build)("voltage", value)

    def typed(self, build: Build, record: ReadingRow, text: str) -> Edit:
        """One edit: a new reading, a new value, or a reading less."""
        from domain.build.fields import parse_field

        value = parse_field(build, "readings", "value_v", text)
        if value is None:
            return self.given_back(record) or Batch(edits=())
        if record.judged is not None:
            return SetField(table="readings", id=record.judged.id, field="value_v", value=value)
        taken = {
            "id": next_id(build, "readings"),
            "at": record.at,
            "meter": record.meter.value,
            "mode": record.mode.value,
            "value_v": value,
        }
        added = AddRecord(table="readings", record=taken)
        return Batch(edits=(added,), label=f"reading at {label(build, record.at)}")

    def pinned(self, build: Build, sheet: Sheet, record: ReadingRow) -> Edit | None:
        """A reading is read, never chosen."""
        return None

    def given_back(self, record: ReadingRow) -> Edit | None:
        """Forget the reading."""
        if record.judged is None:
            return None
        return RemoveRecord(table="readings", id=record.judged.id)

    def stepped(self, build: Build, record: ReadingRow) -> Edit | None:
        """No choices."""
        return None

    def options(self, build: Build, record: ReadingRow) -> list[tuple[str, Edit]]:
        """No choices."""
        return []


class Verdict(Figure, frozen=True):
    """Whether a reading is as it should be: one that fails stands out."""

    def style(self, text: str) -> str:
        """By its word."""
        return BAD if text.startswith("FAIL") else Figure.style(self, text)


READINGS = TableSpec(
    "readings",
    "readings",
    "readings",
    "Readings: type what the meter shows",
    (
        Figure("readings", "at", "·Where", 20, figure=_at),
        Figure("readings", "meter", "·Across", 10, figure=lambda b, s, row: ACROSS[row.meter]),
        Figure("readings", "·should", "·Should be", 13, figure=_should),
        ReadingValue("readings", "value_v", "Reading", 8),
        Verdict("readings", "·verdict", "·Verdict", 10, figure=_verdict),
        Figure("readings", "mode", "·Condition", 20, figure=lambda b, s, row: shown(row.mode)),
        Figure("readings", "·order", "·No", 4, figure=_order),
    ),
    _rows,
    first="value_v",
    empty="nothing can be predicted yet: wire an amplifier to the battery and back",
)
