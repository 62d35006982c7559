"""A sheet as plain text for a terminal, a pipe or a printer, and as JSON for other programs.

Text is at most 100 columns wide and shows figures in the build's own units; JSON holds every
figure in SI with the unit in its key. Spreadsheet tables are in ``tui.report.spreadsheet``.
"""

import json
from dataclasses import asdict

from domain.build.records import Build, label
from domain.findings import Finding, Level
from domain.full_results import FullResults, thinned
from domain.sheet import PartResult, Sheet
from domain.topics.shower import Show, shower
from domain.topics.supply import STATES, balance
from domain.topics.tables import Subject
from tui.report.drive import drive
from tui.report.layout import lay, lay_facts, notes
from tui.report.plain import WIDTH, wrap
from tui.report.readings import readings
from tui.report.spreadsheet import csv_tables
from tui.report.study import designs, protection, spots
from tui.report.tables import fuses, grounds, load, looms, materials, offsets, schedule

__all__ = ["csv_tables", "finding_lines", "json_text", "text"]


def text(build: Build, results: FullResults, picture: bool = False) -> str:
    """The whole sheet as plain text, lines of at most 100 columns, ending in a newline.

    ``picture``: draw the drive profile too, in braille dots.
    """
    sheet, show = results.sheet, shower(build)
    subject = Subject(build, sheet)
    sections = (
        ("Load", load(subject)),
        ("Run schedule", schedule(subject)),
        ("Fuses", fuses(subject)),
        ("Protection", protection(subject)),
        ("Designs", designs(subject)),
        ("Supply", lay_facts(subject, balance(subject))),
        ("Drive", drive(subject, results.drive, picture)),
        ("States", _states(subject)),
        ("Grounds", [*grounds(subject), *offsets(subject)]),
        ("Spots", spots(subject)),
        ("Readings", readings(subject, results.readings)),
        ("Custom parts", _parts(sheet, show)),
        ("Looms", looms(sheet, show)),
        ("Bill of materials", materials(build, sheet)),
        ("Findings", [line for each in sheet.findings for line in finding_lines(build, each)]),
        ("Cautions", [line for each in sheet.cautions for line in wrap(each, "- ")]),
    )
    lines = _header(build, sheet, show)
    for title, body in sections:
        lines += ["", title.upper(), *(body or ["none"])]
    return "\n".join(lines) + "\n"


def json_text(results: FullResults) -> str:
    """Every figure as JSON in SI units, the drive profile thinned; ``ValueError`` for a NaN."""
    return json.dumps(asdict(thinned(results)), indent=2, allow_nan=False) + "\n"


def finding_lines(build: Build, finding: Finding) -> list[str]:
    """One finding: level, code and what is wrong, then where, why, what to do and by what rule."""
    where = label(build, finding.id) if finding.id else ""
    lines = wrap(f"{finding.what} [{finding.code}]", f"{finding.level.upper():<5}", " " * 5)
    for name, said in (
        ("where", where),
        ("why", finding.why),
        ("do", finding.do),
        ("source", finding.source),
    ):
        if said:
            lines += wrap(said, f"     {name:<7}")
    return lines


def _header(build: Build, sheet: Sheet, show: Show) -> list[str]:
    header = build.header
    counts = ", ".join(f"{sheet.count(level)} {level}" for level in Level)
    facts = (
        ("Customer", header.customer),
        ("Vehicle", header.vehicle),
        ("State", header.state.value),
        ("Programme", header.programme.value),
        (
            "Drop limit",
            f"{show('voltage', header.drop_limit_v)} from battery to amplifier and back",
        ),
        ("Notes", header.notes),
        ("Findings", counts),
    )
    lines = [*wrap(header.title or "Untitled build"), "=" * WIDTH]
    for name, said in facts:
        if said:
            lines += wrap(said, f"{name:<12}")
    return lines


def _states(subject: Subject) -> list[str]:
    most = {"state": 28, "lowest": 8, "at": 18, "battery": 9, "alternator": 10, "loads": 9}
    return [
        *lay(subject, STATES, {**most, "heat": 9}),
        *notes(subject, STATES, "state", "! "),
    ]


def _strength(part: PartResult, show: Show) -> list[str]:
    found = part.strength
    if found is None:
        return []
    return wrap(
        f"carries {show('mass', found.load_kg)}: margin {show('margin', found.least_margin)}, sags "
        f"{show('small_length', found.deflection_m)} at {found.shock_ratio:g} g, first mode "
        f"{show('frequency', found.natural_hz)}",
        "    ",
    )


def _parts(sheet: Sheet, show: Show) -> list[str]:
    lines: list[str] = []
    for part in sheet.parts:
        size = " x ".join(
            show("small_length", side) for side in (part.flat_length_m, part.flat_width_m)
        )
        bends = "1 bend" if part.bends == 1 else f"{part.bends} bends"
        lines += wrap(
            f"{part.quantity} x {part.name or part.id}: {part.shape}, {part.material} "
            f"{show('small_length', part.thickness_m)}, flat {size}, {bends}, "
            f"{show('mass', part.mass_kg)} each"
        )
        lines += _strength(part, show)
        for hole in part.holes:
            place = ", ".join(show("small_length", at) for at in (hole.x_m, hole.y_m))
            bore = show("small_length", hole.diameter_m)
            drill = f", drill {hole.drill}" if hole.drill not in ("", bore) else ""
            lines += wrap(f"hole {bore} at {place}{drill}", "    ")
    return lines
