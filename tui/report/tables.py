"""The tables of a plain-text sheet, each as lines; no lines where there is nothing to list."""

from domain.build.records import Build
from domain.sheet import Sheet
from domain.topics.fuses import FUSED_OR_UNGUARDED
from domain.topics.grounds import GROUNDS
from domain.topics.loads import AMPLIFIERS, against
from domain.topics.runs import SCHEDULE
from domain.topics.shower import Show
from domain.topics.tables import ASSUMED_SAID, PINNED_SAID, Subject
from domain.units.show import format_amount
from tui.report.layout import lay
from tui.report.plain import Column, table, wrap

DITTO = '"'


def load(subject: Subject) -> list[str]:
    """What each amplifier draws, and what is lost on its way there and back."""
    most = {"name": 26, "rated": 10, "efficiency": 5, "full": 9, "programme": 9}
    return lay(subject, AMPLIFIERS, {**most, "drop": 8, "out": 8, "back": 8})


def schedule(subject: Subject) -> list[str]:
    """Every run with its wire, fuse, current, drop and temperature."""
    most = {"id": 5, "name": 24, "length": 10, "wire": 9, "holds": 7, "fuse": 7}
    lines = lay(subject, SCHEDULE, {**most, "full": 9, "drop": 8, "warm": 7})
    return [*lines, f"{PINNED_SAID}  {ASSUMED_SAID}"] if lines else []


def fuses(subject: Subject) -> list[str]:
    """Every fuse, and every run with wire that no fuse guards."""
    most = {"id": 5, "name": 24, "fuse": 7, "family": 18, "least": 8}
    return lay(subject, FUSED_OR_UNGUARDED, {**most, "holds": 7, "at": 10, "bare": 10})


def grounds(subject: Subject) -> list[str]:
    """Every ground point with the body's resistance and what it costs."""
    most = {"name": 26, "surface": 20, "wires": 5, "path": 10, "full": 9, "rise": 9}
    return lay(subject, GROUNDS, most)


def offsets(subject: Subject) -> list[str]:
    """How far each amplifier's ground lies above the signal's, and the way back from it."""
    lines = lay(subject, AMPLIFIERS, {"name": 26, "offset": 9, "way": 40})
    return [*wrap(against(subject)), *lines] if lines else []


def looms(sheet: Sheet, show: Show) -> list[str]:
    """Every loom, stretch by stretch: how thick it is, its tube, and what lies in it."""
    columns = (
        Column("Loom", 20),
        Column("From", 12, True),
        Column("to", 12, True),
        Column("Bundle", 9, True),
        Column("Tube", 10),
        Column("Runs", 28),
    )
    rows = [
        (
            loom.name,
            show("length", stretch.start_m) if stretch.start_m else "its start",
            show("length", stretch.end_m),
            show("small_length", stretch.bundle_m),
            stretch.tube or ("too large" if loom.sleeved else "bare"),
            ", ".join(stretch.runs),
        )
        for loom in sheet.looms
        for stretch in loom.stretches
    ]
    return table(columns, rows) if rows else []


def materials(build: Build, sheet: Sheet) -> list[str]:
    """What to buy, by group; a note that the line above has too is a ditto mark."""
    columns = (
        Column("Item", 36),
        Column("Size", 24),
        Column("Buy", 10, True),
        Column("Note", 24),
    )
    rows: list[tuple[str, ...]] = []
    group = note = ""
    for line in sheet.materials:
        if line.group != group:
            rows.append((line.group, "", "", ""))
            note = ""
        repeated = bool(note) and line.note == note
        group, note = line.group, line.note
        bought = format_amount(line.quantity, line.unit, build.header.units)
        rows.append((f"  {line.item}", line.size, bought, DITTO if repeated else note))
    return table(columns, rows) if rows else []
