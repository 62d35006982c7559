"""Who changed what, from which value to which: the journal of a build, or of the shop, as text,
CSV and JSON.

Times are stored in UTC; CSV and JSON keep them so, text has the hour of where it is read.
"""

import csv
import io
import json
from collections.abc import Iterable
from datetime import date, datetime
from time import localtime, strftime

from msgspec import Struct, to_builtins

from domain.build.changes import changes, show_change
from domain.csv_cells import Cell, cell_text
from domain.document.records import Document
from domain.shop.shop import Shop
from domain.visible_text import visible
from storage.store.journal import FullLine
from tui.report.plain import Column, some, table
from tui.widgets.cell_text import cut

PAGES = {
    "header": "Battery",
    "zones": "Battery",
    "batteries": "Battery",
    "alternators": "Battery",
    "amplifiers": "Amplifiers",
    "appliances": "Amplifiers",
    "blocks": "Distribution",
    "grounds": "Grounds",
    "runs": "Distribution",
    "remotes": "Amplifiers",
    "leads": "Amplifiers",
    "spots": "Distribution",
    "curves": "Distribution",
    "legs": "Battery",
    "parts": "Custom parts",
    "panels": "Custom parts",
    "holes": "Custom parts",
    "fixings": "Custom parts",
    "footprints": "Custom parts",
    "studs": "Custom parts",
    "mounts": "Custom parts",
    "stock": "Custom parts",
    "readings": "Readings",
    "places": "Ways",
    "sections": "Ways",
    "extras": "Pack",
}
"""The page of a build on which the records of a table are edited first."""

SHOP_PAGES = {
    "items": "Items",
    "times": "Times",
    "footprints": "Hole patterns",
    "studs": "Hole patterns",
    "kits": "Kits",
    "kit_parts": "Kits",
}
"""The page of the shop on which the records of a table are edited."""

UNKNOWN = "unknown"
"""Who made an edit from before that was kept."""

_KINDS = {"start": "created", "do": "", "undo": "taken back", "redo": "made again"}


class Step(Struct, frozen=True):
    """A field that was changed, or a record that came or went: what, and the values."""

    about: str
    before: str
    after: str


class Told(Struct, frozen=True):
    """A line of the journal in words. ``at`` is ISO 8601 in UTC; ``way``: undone, made again."""

    revision: int
    at: str
    person: str
    way: str
    label: str
    pages: tuple[str, ...]
    steps: tuple[Step, ...]

    @property
    def day(self) -> str:
        """The day here on which it was done."""
        return here(self.at)[:10]


class Wanted(Struct, frozen=True):
    """Which lines are asked for: of a person, of a page, of a day; empty: of any."""

    person: str = ""
    page: str = ""
    day: str = ""

    def fits(self, told: Told) -> bool:
        """Whether a line is among them; a name or a title may be given by its beginning."""
        person, page = self.person.casefold(), self.page.casefold()
        return (
            told.person.casefold().startswith(person)
            and (not page or any(each.casefold().startswith(page) for each in told.pages))
            and told.day.startswith(self.day)
        )


def no_day(text: str) -> str:
    """What is wrong with a day that is asked for, and what would do; empty: nothing is.

    Its beginning will do too: a month, a year.
    """
    try:
        if text.isascii() and [len(part) for part in text.split("-")] in ([4], [4, 2], [4, 2, 2]):
            date.fromisoformat(f"{text}-01-01"[:10])
            return ""
    except ValueError:
        pass
    return f"{cut(visible(text), 40)!r} is no day: give one as 2026-03-31, or a month as 2026-03"


def no_page(text: str, *, shop: bool) -> str:
    """What is wrong with a page that is asked for, by its title or the beginning of it."""
    titles = list(dict.fromkeys((SHOP_PAGES if shop else PAGES).values()))
    if any(each.casefold().startswith(text.casefold()) for each in titles):
        return ""
    return f"no edits go by the page {cut(visible(text), 40)!r}: take one of {', '.join(titles)}"


def here(at: str) -> str:
    """A time in UTC as it is here, to the second."""
    try:
        seconds = datetime.fromisoformat(at).timestamp()
        return strftime("%Y-%m-%d %H:%M:%S", localtime(seconds))
    except (ValueError, OverflowError, OSError):
        return at[:19].replace("T", " ")


def none_found(every: Iterable[Told], wanted: Wanted) -> str:
    """What to say where no line is among those that are asked for."""
    people = list(dict.fromkeys(each.person for each in every))
    if any(Wanted(wanted.person).fits(each) for each in every) or not people:
        return "no such edits"
    return f"no such edits: those here are by {some(people)}"


def told(document: Document, lines: Iterable[FullLine]) -> list[Told]:
    """The lines in words; records by the names that they have now."""
    return [_told(document, each) for each in lines]


def _told(document: Document, full: FullLine) -> Told:
    line, steps = full.line, []
    pages: dict[str, None] = {}
    known = SHOP_PAGES if isinstance(document, Shop) else PAGES
    if full.edit is not None and full.inverse is not None:
        for change in changes(full.edit, full.inverse):
            pages[known.get(change.table, change.table)] = None
            if change.what == "set" and change.before == change.after:
                continue  # a field among those that are written together
            steps.append(Step(*show_change(document, change)))
    return Told(
        line.revision,
        line.at,
        visible(line.person) or UNKNOWN,
        _KINDS.get(line.kind, ""),
        visible(line.label),
        tuple(pages),
        tuple(steps),
    )


def values(told: Told) -> str:
    """What a line changed, in short: "3 ft -> 4 ft"."""
    if len(told.steps) != 1:
        return f"{len(told.steps)} changes" if told.steps else ""
    return both_values(told.steps[0])


def both_values(step: Step) -> str:
    """The value before and the value after: "3 ft -> 4 ft"; of a record that came: "added"."""
    return f"{step.before} -> {step.after}" if step.before or not step.after else step.after


def about(told: Told) -> str:
    """What a line is about, and whether it was taken back or made again."""
    return f"{told.way}: {told.label}" if told.way and told.steps else told.label


def history_lines(lines: Iterable[Told]) -> list[str]:
    """The lines as text, newest first, with every change of those that have several."""
    rows = []
    for each in lines:
        rows.append((str(each.revision), here(each.at), each.person, about(each), values(each)))
        if len(each.steps) > 1:
            rows += [("", "", "", f"  {s.about}", both_values(s)) for s in each.steps]
    columns = (
        Column("Rev", 5, True),
        Column("When", 19),
        Column("Who", 14),
        Column("What", 36),
        Column("From -> to", 20),
    )
    return table(columns, rows) if rows else []


def history_csv(lines: Iterable[Told]) -> str:
    """The lines as CSV, a row for every change, under one header row."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["revision", "time UTC", "who", "way", "edit", "page", "what", "from", "to"])
    for each in lines:
        row: list[Cell] = [each.revision, each.at, each.person, each.way, each.label]
        row.append(", ".join(each.pages))
        for step in each.steps or (Step("", "", ""),):
            writer.writerow(map(cell_text, [*row, step.about, step.before, step.after]))
    return out.getvalue()


def history_json(lines: Iterable[Told]) -> str:
    """The lines as JSON, newest first."""
    return json.dumps([to_builtins(each) for each in lines], indent=2, ensure_ascii=True)
