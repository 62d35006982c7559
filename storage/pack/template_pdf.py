"""The full-size template of a part: its flat pattern over as many sheets as it needs.

Printed at 100 %, laid cross on cross and cut out, it is the part's pattern. Check bars across
and up every sheet show whether the printer kept the size. Lengths in millimetres.
"""

from domain.checks.cautions import high_voltage
from domain.fabrication.shape.flat_pattern import path_outline
from storage.errors import TransferError
from storage.pack.ink import BEND, HEAT, HOLE, OUTLINE, SCORE, SCORE_ASIDE, THIN, TRIM, Ink, Style
from storage.pack.pattern import Hole, Pattern, centre_mark
from storage.pack.tiles import MARGIN, OVERLAP, SIDE, Tile, Tiling, lay_tiles
from storage.pack.word_places import Label, bend_labels, crowded, hole_label

MOST_SHEETS = 600
"""Most sheets that a template is printed on."""

CHECK_BARS = (("100 mm", 100.0, 10.0), ("4 in", 101.6, 25.4))
"""The check bars: name, length, distance of the ticks beside them."""

WORDS_PT = 9.0
_CROSS = 5.0
_KEY = 29.0


def template_pdf(pattern: Pattern, paper: str) -> bytes:
    """The template on "letter" or "a4" paper; ``TransferError`` if it needs too many sheets."""
    tiling = lay_tiles(pattern.width, pattern.height, paper)
    ink = Ink(f"{pattern.name}: template", tiling.page_width, tiling.page_height)
    draw_template(ink, pattern, paper)
    return ink.close()


def draw_template(ink: Ink, pattern: Pattern, paper: str, numbered: bool = False) -> None:
    """Draw its sheets as pages of a document, with page numbers if ``numbered``.

    Raises ``TransferError`` before anything is drawn if there would be too many.
    """
    tiling = lay_tiles(pattern.width, pattern.height, paper)
    if tiling.sheets > MOST_SHEETS:
        raise TransferError(
            f"the template of {pattern.name[:60]} needs {tiling.sheets} sheets, at most "
            f"{MOST_SHEETS} are printed: check its lengths, or split it into parts"
        )
    ink.page_size(tiling.page_width, tiling.page_height)
    labels, unnamed = _labels(pattern)
    shown = tiles_with_lines(tiling, pattern)
    for number, tile in enumerate(shown, 1):
        _draw_window(ink, pattern, labels, tiling, tile)
        _draw_foot(ink, pattern, tiling, tile, unnamed, (number, len(shown)))
        _draw_key(ink, pattern, tiling, tile)
        if numbered:
            ink.number(tiling.page_width - MARGIN, MARGIN + 26.6)
        ink.end_page()


def tiles_with_lines(tiling: Tiling, pattern: Pattern) -> list[Tile]:
    """The sheets on which there is something to cut, drill or bend: a sheet of bare middle, or of
    nothing beside the part, is not printed.
    """
    outline = path_outline(pattern.outline, chord_error_m=0.5)
    ends = [*outline[1:], outline[0]]
    boxes = [
        (min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))
        for (ax, ay), (bx, by) in zip(outline, ends, strict=True)
    ]
    boxes += [_around(hole) for hole in pattern.holes]
    boxes += [
        (min(b.x0, b.x1), min(b.y0, b.y1), max(b.x0, b.x1), max(b.y0, b.y1)) for b in pattern.bends
    ]
    found = []
    for tile in tiling.tiles():
        # What only lies in the overlap is on the next sheet too.
        x0, y0 = tile.x + OVERLAP / 2, tile.y + OVERLAP / 2
        x1, y1 = x0 + tiling.step_x, y0 + tiling.step_y
        if any(a <= x1 and x0 <= c and b <= y1 and y0 <= d for a, b, c, d in boxes):
            found.append(tile)
    return found or list(tiling.tiles())


def _labels(pattern: Pattern) -> tuple[list[Label], int]:
    """The labels on the pattern, and the number of holes that have no room for theirs."""
    crowd = crowded(pattern)
    found: list[Label] = []
    for bend in pattern.bends:
        found += bend_labels(crowd, bend, WORDS_PT, every=150.0)
    unnamed = 0
    for hole in pattern.holes:
        label = hole_label(crowd, hole.x, hole.y, hole.reach, hole.words, 9.0)
        if label:
            found.append(label)
        else:
            unnamed += 1
    return found, unnamed


def _draw_window(
    ink: Ink, pattern: Pattern, labels: list[Label], tiling: Tiling, tile: Tile
) -> None:
    x, y = tiling.window
    width, height = tiling.window_width, tiling.window_height
    seen = (tile.x, tile.y, tile.x + width, tile.y + height)

    def shows(x0: float, y0: float, x1: float, y1: float) -> bool:
        return x0 < seen[2] and seen[0] < x1 and y0 < seen[3] and seen[1] < y1

    with ink.window(x, y, width, height, (x - tile.x, y - tile.y)):
        corners = tiling.corners(tile)
        _draw_trim(ink, tiling, tile)
        for bend in pattern.bends:
            ink.style(BEND)
            ink.lines([bend.beside(0)])
            if bend.scored:
                ink.style(SCORE)
                ink.lines([bend.beside(SCORE_ASIDE), bend.beside(-SCORE_ASIDE)])
            if bend.heat:
                ink.style(HEAT)
                ink.lines([bend.beside(bend.heat / 2), bend.beside(-bend.heat / 2)])
        ink.style(OUTLINE)
        ink.path(pattern.outline)
        shown = [hole for hole in pattern.holes if shows(*_around(hole))]
        ink.style(HOLE)
        for hole in shown:
            ink.path(hole.path)
        ink.style(THIN)
        for hole in shown:
            ink.lines(centre_mark(hole))
        for label in labels:
            if shows(*label.box):
                ink.text(label.x, label.y, label.text, label.size_pt, turn_deg=label.turn_deg)
        ink.style(Style(0.2))
        for cx, cy in corners:
            ink.line(cx - _CROSS, cy, cx + _CROSS, cy)
            ink.line(cx, cy - _CROSS, cx, cy + _CROSS)


def _draw_trim(ink: Ink, tiling: Tiling, tile: Tile) -> None:
    """Trim lines from cross to cross on the sides that another sheet joins."""
    low_left, low_right, high_right, high_left = tiling.corners(tile)
    ink.style(TRIM)
    for follows, one, other in (
        (tile.row < tiling.rows, low_left, low_right),
        (tile.column < tiling.columns, low_right, high_right),
        (tile.row > 1, high_left, high_right),
        (tile.column > 1, low_left, high_left),
    ):
        if follows:
            ink.line(*one, *other)


def _around(hole: Hole) -> tuple[float, float, float, float]:
    reach = hole.reach + 2
    return hole.x - reach, hole.y - reach, hole.x + reach, hole.y + reach


def _draw_foot(
    ink: Ink,
    pattern: Pattern,
    tiling: Tiling,
    tile: Tile,
    unnamed: int,
    place: tuple[int, int],
) -> None:
    left, foot = MARGIN, MARGIN
    _, window_y = tiling.window
    for i, (name, length, tick) in enumerate(CHECK_BARS):
        y = foot + 24.5 - 5.5 * i
        ink.bar(left, y, length, 1.0)
        ink.text(left + 103.5, y - 0.6, name, WORDS_PT)
        x = left + 1.5 + 5.5 * i
        ink.bar(x, window_y, 1.0, length)
        ink.text(x + 1.6, window_y + 103.5, name, WORDS_PT, turn_deg=90)
        ink.style(THIN)
        for k in range(1, round(length / tick)):
            ink.line(left + k * tick, y - 1.2, left + k * tick, y)
            ink.line(x + 1.0, window_y + k * tick, x + 2.2, window_y + k * tick)
    if caution := high_voltage(pattern.build, short=True):
        up = tiling.window_height - 4
        ink.text(left + 11.6, window_y + 2, caution, WORDS_PT, turn_deg=90, most=up, bold=True)
    most = tiling.page_width - 2 * MARGIN - _KEY - 3
    ink.text(left, foot + 13.8, pattern.name, 11, most=112, bold=True)
    about = [
        pattern.sheet,
        f"make {pattern.part.quantity}",
        f"revision {pattern.revision}" if pattern.revision else "",
        pattern.date,
        pattern.build.header.title,
    ]
    ink.text(left, foot + 9.6, "  |  ".join(filter(None, about)), WORDS_PT, most=most)
    how = "Print at 100 % (actual size), measure the bars. "
    how += "Marked face: bends up come towards you." if pattern.flat.bends else "Marked face."
    if unnamed:
        how += f" No room for the words of {unnamed} holes: see the drawing."
    ink.text(left, foot + 5.4, how, WORDS_PT, most=most)
    sheets = f"Sheet {place[0]} of {place[1]}: {tile.name} of {tiling.rows} x {tiling.columns}"
    if place[1] < tiling.sheets:
        sheets += ", those with lines"
    if tiling.sheets > 1:
        sheets += ". Cut on the gray dashes or leave them as flaps; lay cross on cross."
    ink.text(left, foot + 1.2, sheets, WORDS_PT, most=most)
    if tiling.sheets > 1:
        name = f"R{tile.row} C{tile.column}"
        ink.text(MARGIN + SIDE / 2, window_y + tiling.window_height - 6, name, 10, align=0.5)
    _draw_legend(ink, pattern, left + 119, foot + 27.2, most - 119)


def _draw_legend(ink: Ink, pattern: Pattern, x: float, top: float, most: float) -> None:
    """The kinds of lines that this pattern has."""
    names = [("cut", OUTLINE)]
    names += [("bend", BEND)] if pattern.bends else []
    names += [("score", SCORE)] if any(bend.scored for bend in pattern.bends) else []
    names += [("edge of heat", HEAT)] if any(bend.heat for bend in pattern.bends) else []
    if most < 24:
        return
    for i, (name, style) in enumerate(names):
        y = top - 4.0 * i
        ink.style(style)
        for aside in (SCORE_ASIDE, -SCORE_ASIDE) if style is SCORE else (0.0,):
            ink.line(x, y + aside, x + 12, y + aside)
        ink.text(x + 13.5, y - 0.8, name, WORDS_PT, most=most - 13.5)


def _draw_key(ink: Ink, pattern: Pattern, tiling: Tiling, tile: Tile) -> None:
    """A small plan of all sheets with the outline, this sheet shaded."""
    high = 24.0
    wide = tiling.columns * tiling.step_x
    tall = tiling.rows * tiling.step_y
    scale = min(_KEY / wide, high / tall)
    x = tiling.page_width - MARGIN - wide * scale
    y = MARGIN + 1
    ink.bar(
        x + (tile.column - 1) * tiling.step_x * scale,
        y + (tiling.rows - tile.row) * tiling.step_y * scale,
        tiling.step_x * scale,
        tiling.step_y * scale,
        grey=0.75,
    )
    ink.style(THIN)
    for column in range(tiling.columns + 1):
        at = x + column * tiling.step_x * scale
        ink.line(at, y, at, y + tall * scale)
    for row in range(tiling.rows + 1):
        at = y + row * tiling.step_y * scale
        ink.line(x, at, x + wide * scale, at)
    first_x, first_y = tiling.left + OVERLAP / 2, tiling.bottom + OVERLAP / 2
    points = path_outline(pattern.outline, chord_error_m=1.0)
    ink.style(Style(0.3))
    ink.polygon(
        [(x + (px - first_x) * scale, y + (py - first_y) * scale) for px, py in points], None
    )
