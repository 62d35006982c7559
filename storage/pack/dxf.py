"""A part as DXF R2010 in millimetres, with named layers, for a laser, router or knife cutter."""

from io import StringIO
from typing import Any

from domain.fabrication.shape.flat_pattern import Arc, Path
from storage.pack.pattern import Layer, Pattern
from storage.pack.svg import name_place

_COLOURS = {
    Layer.CUT: 1,
    Layer.BEND_UP: 5,
    Layer.BEND_DOWN: 4,
    Layer.SCORE_MARKED_FACE: 3,
    Layer.SCORE_BACK: 2,
    Layer.HEAT: 8,
    Layer.DRILL: 6,
    Layer.ENGRAVE: 7,
}
"""Colour index of each layer; machines tell operations apart by it. Common practice."""

_LINES = {Layer.BEND_UP: "DASHDOT", Layer.BEND_DOWN: "DASHDOT", Layer.HEAT: "DOT"}

_TEXT_HEIGHT = 3.0


def dxf(pattern: Pattern) -> bytes:
    """The file: CUT the outline, slots and cut-outs, DRILL round holes, ENGRAVE words."""
    from ezdxf import filemanagement, units

    document = filemanagement.new("R2010", setup=["linetypes"], units=units.MM)
    document.header["$MEASUREMENT"] = 1
    document.header["$LUNITS"] = 2
    for layer in Layer:
        document.layers.add(
            layer.value, color=_COLOURS[layer], linetype=_LINES.get(layer, "CONTINUOUS")
        )
    space = document.modelspace()
    _add_path(space, pattern.outline, Layer.CUT)
    for hole in pattern.holes:
        if hole.round:
            space.add_circle((hole.x, hole.y), hole.reach, dxfattribs={"layer": Layer.DRILL.value})
        else:
            _add_path(space, hole.path, Layer.CUT)
    for bend in pattern.bends:
        line = bend.beside(0)
        space.add_line(line.start, line.end, dxfattribs={"layer": bend.layer.value})
        if bend.heat:
            for aside in (bend.heat / 2, -bend.heat / 2):
                edge = bend.beside(aside)
                space.add_line(edge.start, edge.end, dxfattribs={"layer": Layer.HEAT.value})
        if bend.scored:
            space.add_line(line.start, line.end, dxfattribs={"layer": bend.score_layer.value})
        _add_text(space, *bend.at(2.0, 1.0), bend.words, bend.turn_deg)
    _add_text(space, *name_place(pattern), pattern.name)
    document.set_modelspace_vport(
        max(pattern.width, pattern.height) * 1.1, (pattern.width / 2, pattern.height / 2)
    )
    text = StringIO()
    document.write(text)
    return text.getvalue().encode("utf-8", errors="replace")


def _add_path(space: Any, path: Path, layer: Layer) -> None:
    on_layer = {"layer": layer.value}
    for each in path:
        if isinstance(each, Arc):
            # An arc of the format always runs counter-clockwise.
            start, end = sorted((each.start_deg, each.end_deg))
            space.add_arc((each.cx, each.cy), each.r, start, end, dxfattribs=on_layer)
        else:
            space.add_line(each.start, each.end, dxfattribs=on_layer)


def _add_text(space: Any, x: float, y: float, words: str, turn_deg: float = 0.0) -> None:
    text = space.add_text(
        words.replace("%%", "% %"),
        height=_TEXT_HEIGHT,
        rotation=turn_deg,
        dxfattribs={"layer": Layer.ENGRAVE.value},
    )
    text.set_placement((x, y))
