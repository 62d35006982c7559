"""The ground points: where wires meet the body, what its path costs, how it is prepared."""

from domain.build.records import GroundPoint
from domain.document.records import find
from domain.sheet import GroundResult
from domain.topics.tables import ASSUMED, TEXT, Column, Subject, Table
from domain.units.gauges import gauge_text

PREPARING = (
    "grind to bright metal, as wide as the ring; a plated stud is cleaned, its plating stays",
    "bolt with a star washer between ring and body",
    "tighten, pull at the wire, then seal against rust",
)
"""How a ground point is made. Common practice."""

MOST_WIRES = 8


def _point(subject: Subject, ground: GroundResult) -> GroundPoint | None:
    found = find(subject.build, ground.id)
    return found if isinstance(found, GroundPoint) else None


def _surface(subject: Subject, ground: GroundResult) -> str:
    point = _point(subject, ground)
    return point.surface.value if point else "-"


def wires(subject: Subject, ground: GroundResult) -> str:
    """The wires that meet there, in a sentence; before them that it is the signal's ground."""
    own = [run for run in subject.sheet.runs if ground.id in (run.source, run.target)]
    shown = "; ".join(
        f"{subject.name(run.id)} {gauge_text(run.gauge, run.count)}"
        f"{' (there)' if run.existing else ''}"
        for run in own[:MOST_WIRES]
    )
    shown += f" and {len(own) - MOST_WIRES} more" if len(own) > MOST_WIRES else ""
    point = _point(subject, ground)
    signal = "Head unit grounded here. " if point and point.signal else ""
    return f"{signal}Wires: {shown or 'none'}."


GROUNDS: Table[GroundResult] = Table(
    rows=lambda s: s.sheet.grounds,
    columns=(
        Column("name", "Ground point", TEXT, lambda s, g: g.name or g.id),
        Column("surface", "Surface", TEXT, _surface),
        Column("stud", "Stud", TEXT, lambda s, g: getattr(_point(s, g), "stud", "") or "-"),
        Column("wires", "Wires", "count", lambda s, g: g.wires),
        Column(
            "path",
            "Body resistance",
            "resistance",
            lambda s, g: g.resistance_ohm,
            lambda s, g: ASSUMED if g.resistance_auto else "",
        ),
        Column(
            "full",
            "Full power",
            "current",
            lambda s, g: g.design_a,
            says="current through this point with every amplifier at rated power, steady tone",
        ),
        Column(
            "rise",
            "Ground drop",
            "voltage",
            lambda s, g: g.rise_v,
            says="volts lost in the body from here to the battery's ground, at full power",
        ),
    ),
    note=wires,
    legend=f"{ASSUMED} a typical value: measure it from the point to the battery's negative post.",
    empty="This build has no ground points.",
)
