"""A part as SVG in millimetres, one group for each layer, for a laser, router or knife cutter.

The picture's y axis runs down, so the pattern is mirrored into it; arcs stay true arcs.
"""

from xml.etree import ElementTree

from domain.fabrication.shape.flat_pattern import Arc, Line, Path
from storage.pack.pattern import Hole, Layer, Pattern

EDGE = 5.0
"""Free margin around the pattern [mm]."""

_COLOURS = {
    Layer.CUT: "#ff0000",
    Layer.BEND_UP: "#0000ff",
    Layer.BEND_DOWN: "#00aaff",
    Layer.SCORE_MARKED_FACE: "#00aa00",
    Layer.SCORE_BACK: "#aaaa00",
    Layer.HEAT: "#999999",
    Layer.DRILL: "#ff00ff",
    Layer.ENGRAVE: "#000000",
}
"""Machines tell operations apart by the colour of the line. Common practice."""

_XML_NONE = frozenset("\ufffe\uffff")


def svg(pattern: Pattern) -> bytes:
    """The file: CUT the outline, slots and cut-outs, DRILL round holes, ENGRAVE words."""
    width, height = pattern.width + 2 * EDGE, pattern.height + 2 * EDGE
    root = ElementTree.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "version": "1.1",
            "width": f"{_n(width)}mm",
            "height": f"{_n(height)}mm",
            "viewBox": f"{_n(-EDGE)} {_n(-EDGE)} {_n(width)} {_n(height)}",
        },
    )
    ElementTree.SubElement(root, "title").text = _clean(pattern.name)
    groups = {layer: _group(root, layer) for layer in Layer}
    top = pattern.height
    _add_path(groups[Layer.CUT], pattern.outline, top, "outline")
    for hole in pattern.holes:
        if hole.round:
            _add_circle(groups[Layer.DRILL], hole, top)
        else:
            _add_path(groups[Layer.CUT], hole.path, top, hole.flat.id)
    for bend in pattern.bends:
        _add_line(groups[bend.layer], bend.beside(0), top, "8 2 1 2")
        if bend.heat:
            for aside in (bend.heat / 2, -bend.heat / 2):
                _add_line(groups[Layer.HEAT], bend.beside(aside), top, "0.5 1.5")
        if bend.scored:
            _add_line(groups[bend.score_layer], bend.beside(0), top)
        x, y = bend.at(2.0, 1.0)
        _add_text(groups[Layer.ENGRAVE], x, top - y, bend.words, -bend.turn_deg)
    x, y = name_place(pattern)
    _add_text(groups[Layer.ENGRAVE], x, top - y, pattern.name)
    return bytes(ElementTree.tostring(root, encoding="utf-8", xml_declaration=True))


def name_place(pattern: Pattern) -> tuple[float, float]:
    """Where the part's name is engraved [mm]: low on the root panel's flat."""
    x0, y0, _, _ = next(iter(pattern.flat.panels.values())).rect
    return x0 * 1000 + 5.0, y0 * 1000 + 5.0


def _group(root: ElementTree.Element, layer: Layer) -> ElementTree.Element:
    words = layer is Layer.ENGRAVE
    colour = _COLOURS[layer]
    paint = {"fill": colour} if words else {"fill": "none", "stroke": colour}
    if not words:
        paint["stroke-width"] = "0.1"
    return ElementTree.SubElement(root, "g", {"id": layer.value, **paint})


def _add_path(group: ElementTree.Element, path: Path, top: float, id: str) -> None:
    if not path:
        return
    x, y = path[0].start
    steps = [f"M{_n(x)} {_n(top - y)}"]
    for each in path:
        x, y = each.end
        if isinstance(each, Arc):
            turned = each.end_deg - each.start_deg
            large, sweep = int(abs(turned) > 180), int(turned < 0)
            steps.append(f"A{_n(each.r)} {_n(each.r)} 0 {large} {sweep} {_n(x)} {_n(top - y)}")
        else:
            steps.append(f"L{_n(x)} {_n(top - y)}")
    ElementTree.SubElement(group, "path", {"id": id, "d": " ".join([*steps, "Z"])})


def _add_circle(group: ElementTree.Element, hole: Hole, top: float) -> None:
    at = {"cx": _n(hole.x), "cy": _n(top - hole.y), "r": _n(hole.reach)}
    circle = ElementTree.SubElement(group, "circle", {"id": hole.flat.id, **at})
    ElementTree.SubElement(circle, "title").text = _clean(hole.words)


def _add_line(group: ElementTree.Element, line: Line, top: float, dashes: str = "") -> None:
    ends = {"x1": line.x0, "y1": top - line.y0, "x2": line.x1, "y2": top - line.y1}
    dashed = {"stroke-dasharray": dashes} if dashes else {}
    ElementTree.SubElement(
        group, "line", {name: _n(value) for name, value in ends.items()} | dashed
    )


def _add_text(
    group: ElementTree.Element, x: float, y: float, words: str, turn_deg: float = 0.0
) -> None:
    place = {"x": _n(x), "y": _n(y), "font-size": "3", "font-family": "sans-serif"}
    if turn_deg:
        place["transform"] = f"rotate({_n(turn_deg)} {_n(x)} {_n(y)})"
    ElementTree.SubElement(group, "text", place).text = _clean(words)


def _clean(text: str) -> str:
    return "".join("\ufffd" if char in _XML_NONE else char for char in text)


def _n(value: float) -> str:
    """A number to the tenth of a micrometre."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
