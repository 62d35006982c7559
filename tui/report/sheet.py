"""A sheet as plain text for a terminal, a pipe or a printer, and as JSON for other programs.

Text is at most 100 columns wide and shows figures in the build's own units; JSON holds every
figure in SI with the unit in its key. Spreadsheet tables are in ``tui.report.spreadsheet``.
"""

import json

from msgspec import to_builtins

from domain.build.dialect import speech_of
from domain.build.records import Build
from domain.findings import Finding
from domain.full_results import FullResults, thinned
from domain.topics.findings import counts, parts
from domain.topics.job import about, title
from domain.topics.parts import drilled, holds, made_of
from domain.topics.supply import STATES, balance
from domain.topics.tables import TEXT, Fact, Subject
from tui.report.drive import drive
from tui.report.plain import WIDTH, within, wrap
from tui.report.readings import readings
from tui.report.spreadsheet import csv_tables
from tui.report.study import designs, protection, spots
from tui.report.tables import fuses, grounds, leads, load, looms, materials, offsets, schedule
from tui.report.text_layout import lay, lay_facts, notes

__all__ = ["csv_tables", "finding_lines", "json_text", "text"]


def text(build: Build, results: FullResults, picture: bool = False) -> str:
    """The whole sheet as plain text, lines of at most 100 columns, ending in a newline.

    ``picture``: draw the drive profile too, in braille dots.
    """
    sheet = results.sheet
    subject = Subject(build, sheet)
    sections = (
        ("Load", load(subject)),
        ("Run schedule", schedule(subject)),
        *((("Leads", leads(subject)),) if sheet.leads else ()),
        ("Fuses", fuses(subject)),
        ("Protection", protection(subject)),
        ("Wire options", designs(subject)),
        ("Supply", lay_facts(subject, balance(subject))),
        ("Drive", drive(subject, results.drive, picture)),
        ("States", _states(subject)),
        ("Grounds", [*grounds(subject), *offsets(subject)]),
        ("Spots", spots(subject)),
        ("Readings", readings(subject, results.readings)),
        ("Custom parts", _parts(subject)),
        ("Harnesses", looms(subject)),
        ("Bill of materials", materials(subject)),
        (
            "Findings",
            [line for each in sheet.findings for line in finding_lines(build, each)],
        ),
        ("Cautions", [line for each in sheet.cautions for line in wrap(each, "- ")]),
    )
    lines = _header(subject)
    for name, body in sections:
        lines += ["", name.upper(), *(body or ["none"])]
    said = speech_of(build)("\n".join(lines)).split("\n")
    return "\n".join(part for line in said for part in within(line)) + "\n"


def json_text(results: FullResults) -> str:
    """Every figure as JSON in SI units, the drive profile thinned; ``ValueError`` for a NaN."""
    return json.dumps(to_builtins(thinned(results)), indent=2, allow_nan=False) + "\n"


def finding_lines(build: Build, finding: Finding) -> list[str]:
    """One finding: level, code and what is wrong, then where, why, what to do and by what rule."""
    lines = wrap(f"{finding.what} [{finding.code}]", f"{finding.level.upper():<5}", " " * 5)
    for name, said in parts(build, finding):
        lines += wrap(said, f"     {name.lower():<7}")
    return lines


def _header(subject: Subject) -> list[str]:
    lines = [*wrap(title(subject)), "=" * WIDTH]
    for fact in (*about(subject), Fact("Findings", TEXT, counts(subject.sheet))):
        lines += wrap(str(fact.value), f"{fact.title:<12}")
    return lines


def _states(subject: Subject) -> list[str]:
    most = {"state": 28, "lowest": 8, "at": 18, "battery": 9, "alternator": 10, "loads": 9}
    return [
        *lay(subject, STATES, {**most, "heat": 9}),
        *notes(subject, STATES, "state", "! "),
    ]


def _parts(subject: Subject) -> list[str]:
    lines: list[str] = []
    for part in subject.sheet.parts:
        lines += wrap(f"{part.quantity} x {part.name or part.id}: {made_of(subject, part)}")
        if part.strength:
            lines += wrap(holds(subject, part.strength), "    ")
        for hole in drilled(subject, part):
            lines += wrap(hole, "    ")
    return lines
