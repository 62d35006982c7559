"""The working of a length that follows from the way through places."""

from domain.document.records import label
from domain.routes.lengths import way_length
from domain.routes.ways import Way, section_m
from domain.workings.cited import ENTERED, PRACTICE
from domain.workings.context import Context
from domain.workings.working import Input, Working


def along(c: Context, way: Way) -> Working:
    """The sections of a way, one after the other."""
    units = c.build.header.units
    inputs, assumed = [], False
    for number, section in enumerate(way.sections, 1):
        taken = section_m(section, units)
        said = label(c.build, section.id)
        if section.length_m is None:
            assumed, said = True, f"{said}, assumed until it is measured"
        inputs.append(Input(f"L_{number}", said, taken, "m"))
    named = " > ".join(label(c.build, place) for place in way.places)
    source = PRACTICE if assumed else ENTERED
    total = way_length(c.build, way).length_m
    formula = "L = sum of the sections of its way"
    return Working("Length of the route", formula, tuple(inputs), (named,), total, "m", source)
