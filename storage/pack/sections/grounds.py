"""The ground map: every point where wires meet the body, and how to prepare it."""

from domain.build.records import GroundPoint, find
from domain.units.gauges import gauge_text
from storage.pack.pack_context import Pack
from storage.pack.paper import TICK, Column, Paper, Row


def grounds(pack: Pack, paper: Paper) -> None:
    """Ground points with their wires, then how far each amplifier's ground is off."""
    show = pack.show
    rows = []
    for ground in pack.sheet.grounds:
        point = find(pack.build, ground.id)
        assert isinstance(point, GroundPoint)
        wires = [run for run in pack.sheet.runs if ground.id in (run.source, run.target)]
        shown = "; ".join(
            f"{pack.name(run.id)} {gauge_text(run.gauge)}{' (there)' if run.existing else ''}"
            for run in wires[:8]
        )
        shown += f" and {len(wires) - 8} more" if len(wires) > 8 else ""
        signal = "Signal ground. " if point.signal else ""
        cells = (
            TICK,
            pack.name(ground.id),
            point.surface.value,
            point.stud or "-",
            show("resistance", ground.resistance_ohm) + ("?" if ground.resistance_auto else ""),
            show("current", ground.design_a),
            show("voltage", ground.rise_v),
        )
        rows.append(Row(cells, f"{signal}Wires: {shown or 'none'}."))
    paper.table(
        (
            Column("Done", 12),
            Column("Ground point"),
            Column("Surface", 26),
            Column("Stud", 15),
            Column("Body path", 24, 1),
            Column("Full tone", 20, 1),
            Column("Rise", 17, 1),
        ),
        rows,
        "This build has no ground points.",
    )
    paper.words("? a typical value: measure it from the point to the battery's negative post.")
    for step in (
        "grind to bright metal, as wide as the ring; a plated stud is cleaned, never ground",
        "bolt with a star washer between ring and body",
        "tighten, pull at the wire, then seal against rust",
    ):
        paper.words(step, indent=7, mark=TICK)
    if pack.sheet.amplifiers:
        marked = ", ".join(pack.name(point.id) for point in pack.build.grounds if point.signal)
        paper.heading("Ground of each amplifier at full tone")
        paper.words(
            f"Offset against the signal's ground, {marked}."
            if marked
            else "Offset against the body: no ground is marked as the signal's."
        )
        paper.table(
            (Column("Amplifier"), Column("Offset", 22, 1), Column("Wires of its way back", 95)),
            [
                (a.name, show("voltage", a.ground_offset_v), pack.names(a.return_runs) or "none")
                for a in pack.sheet.amplifiers
            ],
        )
