"""The drawing of a part: flat pattern to a standard scale with dimensions, tables, folded view.

One page across; more only where the table of holes does not fit. Lengths in millimetres.
"""

from collections.abc import Iterator

from domain.build.choices import HoleShape
from domain.build.records import Panel
from domain.fabrication.shape.flat_pattern import NotDeveloped, fold
from domain.fabrication.shape.folded_faces import seen_faces
from domain.fabrication.shape.path import moved
from domain.units.show import format_quantity, format_taped
from storage.pack.dimensions import (
    View,
    draw_ordinates,
    draw_overall,
    figure,
    scale_name,
    standard_scale,
)
from storage.pack.fonts import width_mm
from storage.pack.ink import BEND, HEAT, THIN, Ink, Style
from storage.pack.pattern import Hole, Pattern, centre_mark, scaled, small
from storage.pack.tiles import PAPERS
from storage.pack.word_places import Crowd, Label, bend_labels, crowded, hole_label
from storage.pack.wrapping import wrapped

EDGE = 9.0
_COLUMN = 80.0
"""Width of the tables and of the title block."""

_TITLE = 46.0
_PICTURE = 58.0
_ROW = 4.2
_WORDS_PT = 8.5
_LEFT, _BELOW, _ABOVE, _RIGHT = 24.0, 24.0, 16.0, 14.0
"""Space for the dimensions around the view."""

_HOLE_COLUMNS = (0.0, 13.0, 25.0, 37.0)
_LEAST_PT = 8.0
"""The smallest type: read at arm's length."""
_THICK = Style(0.3)


def drawing_pdf(pattern: Pattern, paper: str) -> bytes:
    """The drawing on "letter" or "a4" paper."""
    height, width = PAPERS[paper]
    ink = Ink(f"{pattern.name}: drawing", width, height)
    draw_drawing(ink, pattern, paper)
    return ink.close()


def draw_drawing(ink: Ink, pattern: Pattern, paper: str, numbered: bool = False) -> None:
    """Draw its pages into a document, with page numbers if ``numbered``."""
    height, width = PAPERS[paper]
    ink.page_size(width, height)
    rows = [line for hole in pattern.holes for line in _hole_rows(hole, pattern)]
    table_x = width - EDGE - _COLUMN
    picture_y = EDGE + _TITLE
    top = _draw_bends(ink, pattern, table_x, height - EDGE)
    room = max(0, int((top - picture_y - _PICTURE - 2 * _ROW - 2) / _ROW))
    first = rows if len(rows) <= room else rows[: max(0, room - 1)]
    later = rows[len(first) :]
    per_column = int((height - 2 * EDGE - 12) / _ROW) - 2
    columns = int((width - 2 * EDGE) / _COLUMN)
    pages = 1 + -(-len(later) // (per_column * columns))
    if rows:
        _draw_rows(ink, first, table_x, top, pattern)
    if later:
        y = top - (len(first) + 2) * _ROW - 1
        ink.text(table_x + 2, y, f"{len(later)} more on the following pages", _WORDS_PT)
    view = _draw_view(ink, pattern, table_x, height)
    _draw_folded(ink, pattern, table_x, picture_y)
    _draw_title(ink, pattern, table_x, view.scale, pages)
    ink.style(_THICK)
    _box(ink, EDGE, EDGE, width - 2 * EDGE, height - 2 * EDGE)
    ink.line(table_x, EDGE, table_x, height - EDGE)
    if numbered:
        ink.number(width - EDGE - 2, EDGE + _TITLE - 5.5 - 8 * 4.8)
    ink.end_page()
    for page in range(2, pages + 1):
        about = [f"{pattern.name}: holes, page {page} of {pages}", pattern.build.header.title]
        about += [f"revision {pattern.revision}"] if pattern.revision else []
        head = "  |  ".join([*about, pattern.date] if pattern.date else about)
        ink.text(EDGE, height - EDGE - 5, head, 9, most=width - 2 * EDGE - 40)
        if numbered:
            ink.number(width - EDGE, height - EDGE - 5)
        for column in range(columns):
            taken, later = later[:per_column], later[per_column:]
            if taken:
                _draw_rows(ink, taken, EDGE + column * _COLUMN, height - EDGE - 9, pattern)
        ink.end_page()


def _draw_view(ink: Ink, pattern: Pattern, table_x: float, page_height: float) -> View:
    room_x = table_x - EDGE - _LEFT - _RIGHT
    room_y = page_height - 2 * EDGE - _BELOW - _ABOVE
    scale = standard_scale(pattern.width, pattern.height, room_x, room_y)
    view = View(
        EDGE + _LEFT + (room_x - pattern.width * scale) / 2,
        EDGE + _BELOW + (room_y - pattern.height * scale) / 2,
        scale,
    )
    with ink.window(EDGE, EDGE, table_x - EDGE, page_height - 2 * EDGE):
        draw_overall(ink, pattern, view)
        spare = min(_LEFT, _BELOW) - 6
        if not draw_ordinates(ink, pattern, view, spare):
            ink.text(EDGE + 2, EDGE + 2, "Too many places to mark here: see the table.", _WORDS_PT)
        _draw_flat(ink, pattern, view)
        _draw_legend(ink, pattern, page_height)
    return view


def _draw_legend(ink: Ink, pattern: Pattern, page_height: float) -> None:
    """What each kind of line is, at the head of the view."""
    kinds = [("cut", _THICK)]
    kinds += [("bend", BEND)] if pattern.bends else []
    kinds += [("edge of heat", HEAT)] if any(bend.heat for bend in pattern.bends) else []
    x, y = EDGE + 2, page_height - EDGE - 4
    for name, style in kinds:
        ink.style(style)
        ink.line(x, y + 1, x + 10, y + 1)
        ink.text(x + 11.5, y, name, _WORDS_PT)
        x += 16 + width_mm(name, _WORDS_PT)


def _draw_flat(ink: Ink, pattern: Pattern, view: View) -> None:
    """Draw the pattern with its bends, and a number beside each hole where there is room."""
    crowd = crowded(pattern, view.scale)
    placed = list(_labels(pattern, view.scale, crowd))
    for label in placed:
        # The lines to the ordinates are already there: they stop short of the words.
        x0, y0, x1, y1 = label.box
        if label.turn_deg % 90 == 0:
            ink.bar(view.x + x0, view.y + y0, x1 - x0, y1 - y0, grey=1.0)
    ink.style(_THICK)
    ink.path(moved(scaled(pattern.outline, view.scale), view.x, view.y))
    for bend in pattern.bends:
        for style, asides in ((BEND, {0.0}), (HEAT, {bend.heat / 2, -bend.heat / 2} - {0.0})):
            ink.style(style)
            for aside in asides:
                line = bend.beside(aside)
                ink.line(*view.at(*line.start), *view.at(*line.end))
    ink.style(Style(0.2))
    for hole in pattern.holes:
        ink.path(moved(scaled(hole.path, view.scale), view.x, view.y))
    ink.style(THIN)
    for hole in pattern.holes:
        for line in centre_mark(hole):
            (ax, ay), (bx, by) = view.at(*line.start), view.at(*line.end)
            ink.line(ax, ay, bx, by)
    for label in placed:
        x, y = view.x + label.x, view.y + label.y
        ink.text(x, y, label.text, label.size_pt, turn_deg=label.turn_deg)


def _labels(pattern: Pattern, scale: float, crowd: Crowd) -> Iterator[Label]:
    """The notes of the bends and the names of the holes, as the work steps call them."""
    for bend in pattern.bends:
        yield from bend_labels(crowd, bend, _WORDS_PT, every=500.0, scale=scale)
    names = [
        hole_label(crowd, hole.x * scale, hole.y * scale, hole.reach * scale, hole.flat.id, 9.0)
        for hole in pattern.holes
    ]
    placed = [name for name in names if name]
    # A few names among many holes say nothing: the table has every place.
    if 2 * len(placed) >= len(names):
        yield from placed


def _draw_bends(ink: Ink, pattern: Pattern, x: float, top: float) -> float:
    """Draw the table of bends; returns where the next table begins."""
    if not pattern.bends:
        return top
    y = top - _ROW
    ink.text(x + 2, y, "Finished legs, to the outside, and bends", 9, bold=True)
    panels = {panel.id: panel for panel in pattern.build.panels}
    most = 6
    root = panels[next(iter(pattern.flat.panels))]
    y -= _ROW
    ink.text(x + 2, y, _leg(root, pattern), _WORDS_PT, most=_COLUMN - 4)
    for bend in pattern.bends[:most]:
        y -= _ROW
        line = bend.line
        ink.text(x + 2, y, _leg(panels[line.panel], pattern), _WORDS_PT, most=_COLUMN - 4)
        on = panels[line.joins]
        taken = (
            f"{format_quantity('angle', 180 - line.angle_deg, pattern.units)} to "
            f"{on.name or on.id}: {bend.words}; takes {small(line.allowance_m, pattern.units)} of "
            f"sheet, begins {small(line.setback_m, pattern.units)} before the corner"
        )
        for words in wrapped(taken, _WORDS_PT, _COLUMN - 8, most=3):
            y -= _ROW
            ink.text(x + 6, y, words, _WORDS_PT)
    if len(pattern.bends) > most:
        y -= _ROW
        more = f"{len(pattern.bends) - most} more: see the template"
        ink.text(x + 2, y, more, _WORDS_PT, most=_COLUMN - 4)
    ink.style(THIN)
    ink.line(x, y - 1.5, x + _COLUMN, y - 1.5)
    return y - 1.5


def _leg(panel: Panel, pattern: Pattern) -> str:
    """What a square and a rule find on the finished part."""
    sides = format_taped((panel.length_m, panel.width_m), pattern.units)
    return f"{panel.name or panel.id}: {sides}"


def _hole_rows(hole: Hole, pattern: Pattern) -> Iterator[tuple[str, str, str, str]]:
    """The lines of a hole in the table: its words may take a second one."""
    words = hole.words
    turn = round(hole.flat.turn_deg % 180, 1)
    if hole.flat.shape is not HoleShape.ROUND and turn:
        words += f", turned {turn:g}°"
    units = pattern.units
    cells = hole.flat.id, figure(hole.x, units), figure(hole.y, units)
    most = _COLUMN - 4 - _HOLE_COLUMNS[-1]
    for line in wrapped(words, _LEAST_PT, most, most=3):
        yield (*cells, line)
        cells = "", "", ""


def _draw_rows(
    ink: Ink, rows: list[tuple[str, str, str, str]], x: float, top: float, pattern: Pattern
) -> None:
    y = top - _ROW
    unit = small(0.0, pattern.units).split()[-1]
    heads = ("Hole", f"x {unit}", f"y {unit}", "drill or size")
    for row in (heads, *rows):
        for at, cell in zip(_HOLE_COLUMNS, row, strict=True):
            most = _COLUMN - 4 - at if at == _HOLE_COLUMNS[-1] else 12.5
            size = min(_WORDS_PT, _WORDS_PT * most / max(width_mm(cell, _WORDS_PT), 1.0))
            ink.text(x + 2 + at, y, cell, max(size, _LEAST_PT), most=most, bold=row is heads)
        if row is heads:
            ink.style(THIN)
            ink.line(x + 2, y - 1, x + _COLUMN - 2, y - 1)
            y -= 0.8
        y -= _ROW


def _draw_folded(ink: Ink, pattern: Pattern, x: float, y: float) -> None:
    """Draw the folded part as large as its box allows."""
    folded = fold(pattern.build, pattern.part)
    seen = [] if isinstance(folded, NotDeveloped) else seen_faces(pattern.flat, folded)
    ink.style(THIN)
    ink.line(x, y + _PICTURE, x + _COLUMN, y + _PICTURE)
    ink.line(x, y, x + _COLUMN, y)
    state = "Folded" if pattern.flat.bends else "Finished"
    ink.text(x + 2, y + _PICTURE - 4, f"{state}, not to scale", _WORDS_PT)
    if not seen:
        return
    xs = [px for face in seen for px, _ in face.corners]
    ys = [py for face in seen for _, py in face.corners]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    scale = min((_COLUMN - 6) / max(wide, 1e-6), (_PICTURE - 10) / max(high, 1e-6))
    left = x + (_COLUMN - wide * scale) / 2 - min(xs) * scale
    low = y + 2.5 + (_PICTURE - 8 - high * scale) / 2 - min(ys) * scale

    def put(point: tuple[float, float]) -> tuple[float, float]:
        return left + point[0] * scale, low + point[1] * scale

    ink.style(Style(0.15))
    for face in seen:
        ink.polygon([put(point) for point in face.corners], 1.0, stroke=False)
        for one, other in face.edges:
            ink.line(*put(one), *put(other))
        for hole in face.holes:
            ink.polygon([put(point) for point in hole], 0.8)


def _draw_title(ink: Ink, pattern: Pattern, x: float, scale: float, pages: int) -> None:
    units = pattern.units
    folded = fold(pattern.build, pattern.part)
    size = "-"
    if not isinstance(folded, NotDeveloped):
        size = " x ".join(small(each, units) for each in folded.envelope)
    unit = "inches" if small(0.0, units).endswith("in") else "millimetres"
    mass = format_quantity("mass", pattern.flat.mass_kg, units)
    flat = f"{small(pattern.flat.width_m, units)} x {small(pattern.flat.height_m, units)}"
    corner = pattern.part.corner_m
    lines = [
        pattern.sheet,
        f"Flat {flat}",
        f"Folded {size}" if pattern.flat.bends else "No bends",
        f"Corners {small(corner, units) if corner else 'square'}, mass {mass}, "
        f"make {pattern.part.quantity}",
        f"Scale {scale_name(scale)}, {unit} from the lower left corner",
        "Marked face; a bend up comes towards you." if pattern.flat.bends else "Marked face.",
        pattern.build.header.title,
        "  |  ".join(
            each
            for each in (
                f"Revision {pattern.revision}" if pattern.revision else "",
                pattern.date,
                f"Page 1 of {pages}" if pages > 1 else "",
            )
            if each
        ),
    ]
    y = EDGE + _TITLE - 5.5
    ink.text(x + 2, y, pattern.name, 11, most=_COLUMN - 4, bold=True)
    for line in lines:
        y -= 4.8
        most = _COLUMN - (4 if line is not lines[-1] else 28)
        ink.text(x + 2, y, line, 9, most=most)


def _box(ink: Ink, x: float, y: float, width: float, height: float) -> None:
    ink.line(x, y, x + width, y)
    ink.line(x + width, y, x + width, y + height)
    ink.line(x + width, y + height, x, y + height)
    ink.line(x, y + height, x, y)
