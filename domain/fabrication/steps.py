"""Making a part, in order: machining first, because a flat sheet can be clamped; then bending."""

from domain.build.records import Build, Part
from domain.fabrication.making.bending import bending
from domain.fabrication.making.cutting import blank, deburr, openings, outline, template
from domain.fabrication.making.drilling import before_and_after, drilling, inserted
from domain.fabrication.making.fitting import finish
from domain.fabrication.making.step import Step
from domain.fabrication.part_layout import part_layout
from domain.fabrication.shape.panel_tree import NotDeveloped


def steps(build: Build, part: Part) -> tuple[Step, ...]:
    """The steps that make a part, in order; none where it cannot be laid out."""
    layout = part_layout(build, part)
    if isinstance(layout, NotDeveloped):
        return ()
    early, late = before_and_after(layout)
    made = [
        *template(layout),
        *blank(layout),
        *outline(layout),
        *drilling(layout, early),
        *openings(layout),
        deburr(layout),
        *bending(layout),
        *drilling(layout, late),
        *inserted(layout),
        *finish(layout),
    ]
    return tuple(Step(order, *row) for order, row in enumerate(made, 1))
