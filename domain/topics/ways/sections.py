"""Sections of the vehicle in a table: from where to where, how long, how thick, through what."""

from domain.build.choices import shown
from domain.build.record_kinds.route_records import PanelHole
from domain.cable.pulling_steps import cautions_of
from domain.cable.section_results import SectionResult, section_results
from domain.topics.tables import ASSUMED, TEXT, Column, Subject, Table


def _through(subject: Subject, section: SectionResult) -> str:
    """The panel, its hole and its grommet."""
    if not section.hole:
        return "-"
    told = section.hole != PanelHole.UNKNOWN
    said = f"{section.panel or 'a panel'}: {shown(section.hole) if told else 'hole not told'}"
    return f"{said}, {section.grommet}" if section.grommet else said


def _wires(subject: Subject, section: SectionResult) -> str:
    return ", ".join(subject.name(id) for id in section.runs) or "none"


def cautions(subject: Subject, section: SectionResult) -> str:
    """What is beside it, in a sentence below its row."""
    found = cautions_of(subject.build, section.id)
    return f"CAUTION: {'; '.join(found)}." if found else ""


SECTIONS: Table[SectionResult] = Table(
    rows=lambda s: section_results(s.build, s.sheet.runs),
    columns=(
        Column("name", "Section", TEXT, lambda s, r: r.name),
        Column(
            "length",
            "Length",
            "length",
            lambda s, r: r.length_m,
            lambda s, r: ASSUMED if r.length_auto else "",
        ),
        Column("wires", "Wires", "count", lambda s, r: r.wires),
        Column("thick", "Thick", "small_length", lambda s, r: r.bundle_m or None),
        Column("through", "Through", TEXT, _through),
        Column("runs", "Pulled in this order", TEXT, _wires),
    ),
    note=cautions,
    empty="no places are named yet: alt+j",
)
"""Every section; its wires in the order of pulling."""
