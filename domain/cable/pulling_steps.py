"""The steps of making the holes of sections and of pulling wires through them."""

from collections.abc import Iterator

from domain.build.record_kinds.route_records import PanelHole
from domain.build.records import Build
from domain.cable.section_results import SectionResult, section_results
from domain.document.records import find, label
from domain.sheet import Sheet
from domain.units.gauges import gauge_text

_BESIDE = (
    ("fuel", "fuel or brake line: see it before you drill, nothing is clamped to it"),
    ("airbag", "airbag: battery off and waited for; nothing tied to its wiring or across it"),
    ("high_voltage", "orange high-voltage cables: never touch, cut, move or tie to them"),
    ("exhaust", "exhaust: clear of it, a heat shield between"),
)
"""Field of a section, and its caution in a step. Common practice."""


def holes(build: Build, sheet: Sheet) -> Iterator[str]:
    """Each hole once for all wires through it: its panel, its grommet, what is beside it."""
    for section in section_results(build, sheet.runs):
        if not section.runs or not section.hole:
            continue
        text = f"{section.name}, through {section.panel or 'a panel'}: "
        if section.hole == PanelHole.FACTORY:
            text += "through the vehicle's own grommet, slit no wider than it must be"
        elif section.hole == PanelHole.BARE:
            text += "no wire before its edge has a grommet"
        else:
            size = section.grommet or "a size to be measured"
            text += f"look behind it, drill, free the edge of burrs and rust, grommet of {size}"
        yield f"{text}{_where(build, section)}.{_cautions(build, section)}"


def pull(build: Build, sheet: Sheet) -> Iterator[str]:
    """Section by section: which new wires go through it, in which order."""
    new = {run.id: run for run in sheet.runs if not run.existing}
    for section in section_results(build, sheet.runs):
        own = [new[id] for id in section.runs if id in new]
        if not own:
            continue
        named = ", ".join(
            f"{label(build, run.id)} ({run.id}) {gauge_text(run.gauge, run.count)}" for run in own
        )
        first = "in this order" if len(own) > 1 else "one wire"
        caution = "" if section.hole else _cautions(build, section)
        yield f"{section.name}, {first}: {named}.{caution}"


def cautions_of(build: Build, section: str) -> list[str]:
    """What is beside a section, and what to mind of it."""
    record = find(build, section)
    return [text for field, text in _BESIDE if getattr(record, field, False)]


def _where(build: Build, section: SectionResult) -> str:
    hint = str(getattr(find(build, section.id), "hint", "")).strip().rstrip(".")
    return f" ({hint})" if hint else ""


def _cautions(build: Build, section: SectionResult) -> str:
    return "".join(f" CAUTION, {text}." for text in cautions_of(build, section.id))
