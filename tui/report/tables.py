"""The tables of a plain-text sheet, each as lines; no lines where there is nothing to list."""

from domain.topics.fuses import FUSED_OR_UNGUARDED, at_the_counter
from domain.topics.grounds import GROUNDS
from domain.topics.loads import AMPLIFIERS, APPLIANCES, against
from domain.topics.materials import MATERIALS
from domain.topics.runs import LEADS, LOOMS, REMOTES, SCHEDULE
from domain.topics.tables import ASSUMED_SAID, PINNED_SAID, Subject
from tui.report.plain import Column, table, wrap
from tui.report.text_layout import lay

DITTO = '"'


def load(subject: Subject) -> list[str]:
    """What each amplifier draws, and what is lost on its way there and back."""
    most = {"name": 26, "rated": 10, "efficiency": 5, "full": 9, "programme": 9}
    lines = lay(subject, AMPLIFIERS, {**most, "drop": 8, "out": 8, "back": 8})
    more = {"name": 26, "kind": 16, "rated": 10, "works": 17, "full": 9, "average": 9}
    others = lay(subject, APPLIANCES, {**more, "drop": 8})
    return [*lines, *([""] if lines and others else []), *others]


def schedule(subject: Subject) -> list[str]:
    """Every run with its wire, fuse, current, drop and temperature."""
    most = {"id": 5, "name": 24, "length": 10, "wire": 9, "holds": 7, "fuse": 7}
    lines = lay(subject, SCHEDULE, {**most, "full": 9, "drop": 8, "warm": 7})
    return [*lines, f"{PINNED_SAID}  {ASSUMED_SAID}"] if lines else []


def leads(subject: Subject) -> list[str]:
    """Remote outputs against what they give, and every switching, signal and speaker lead."""
    lines = lay(subject, REMOTES, {"name": 22, "devices": 7, "draw": 9, "limit": 9, "by": 44})
    most = {"id": 5, "name": 24, "ends": 34, "length": 10, "wire": 9, "carries": 8, "fuse": 5}
    return [*lines, *([""] if lines else []), *lay(subject, LEADS, most)]


def fuses(subject: Subject) -> list[str]:
    """Every fuse, and every run with wire that no fuse guards."""
    most = {"id": 5, "name": 24, "fuse": 7, "family": 18, "least": 8}
    lines = lay(subject, FUSED_OR_UNGUARDED, {**most, "holds": 7, "at": 10, "bare": 10})
    said = at_the_counter(subject)
    return [*lines, *(wrap(said) if said else [])]


def grounds(subject: Subject) -> list[str]:
    """Every ground point with the body's resistance and what it costs."""
    most = {"name": 26, "surface": 20, "wires": 5, "path": 10, "full": 9, "rise": 9}
    return lay(subject, GROUNDS, most)


def offsets(subject: Subject) -> list[str]:
    """How far each amplifier's ground lies above the signal's, and the way back from it."""
    lines = lay(subject, AMPLIFIERS, {"name": 26, "offset": 9, "way": 40})
    return [*wrap(against(subject)), *lines] if lines else []


def looms(subject: Subject) -> list[str]:
    """Every loom, stretch by stretch: how thick it is, its tube, and what lies in it."""
    most = {"loom": 20, "from": 12, "to": 12, "bundle": 9, "tube": 10, "runs": 28}
    return lay(subject, LOOMS, most)


def materials(subject: Subject) -> list[str]:
    """What to buy, by group; a note that the line above has too is a ditto mark."""
    shown = MATERIALS.pick(("item", "size", "buy", "note"))
    columns = [
        Column(column.title, most, not column.is_text)
        for column, most in zip(shown, (36, 24, 10, 24), strict=True)
    ]
    rows: list[tuple[str, ...]] = []
    group = last = ""
    for line in MATERIALS.rows(subject):
        if line.group != group:
            rows.append((line.group, "", "", ""))
            last = ""
        item, size, buy, note = (column.cell(subject, line) for column in shown)
        rows.append((f"  {item}", size, buy, DITTO if note and note == last else note))
        group, last = line.group, note
    return table(columns, rows) if rows else []
