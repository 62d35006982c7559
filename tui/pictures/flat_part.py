"""The flat pattern of a part as text: to scale, with its bends, holes and overall dimensions.

Lines are at most ``width`` cells wide. Every bend is marked with a letter that the legend
explains, so that nothing depends on colour.
"""

from math import hypot
from string import ascii_uppercase

from domain.build.records import Build, Footprint, Mount, Part
from domain.document.records import find
from domain.fabrication.shape.flat_pattern import (
    BendLine,
    Flat,
    FlatHole,
    NotDeveloped,
    develop,
    hole_path,
    path_bounds,
    path_outline,
)
from domain.fabrication.shape.hole_placing import stud_place
from domain.units.show import format_quantity
from tui.pictures.raster import DASH_DOT, DOTTED, Box, Raster
from tui.widgets.cell_text import cut, wrap

LEAST_WIDTH, LEAST_HEIGHT = 16, 5
"""The smallest size at which a part can be read."""

MOST_HOLES = 1000
"""Most holes that are drawn; more would only turn the picture black."""


def flat_of(build: Build, part_id: str) -> Flat | str:
    """The flat pattern of a part, or a sentence why it has none."""
    last = _LAST[-1] if _LAST else None
    if last is None or last[0] is not build or last[1] != part_id:
        last = (build, part_id, _flat_of(build, part_id))
        _LAST[:] = [last]
    return last[2]


_LAST: list[tuple[Build, str, Flat | str]] = []
"""The last result, as several pictures and lists are made from one pattern."""


def _flat_of(build: Build, part_id: str) -> Flat | str:
    part = find(build, part_id) if part_id else None
    if not isinstance(part, Part):
        return "No part yet: ctrl+n in the table of parts adds one."
    flat = develop(build, part)
    if isinstance(flat, NotDeveloped):
        return f"No flat pattern yet: {flat.why}."
    return flat


def flat_picture(
    build: Build, part_id: str, width: int, height: int, here: str = "", sideways: bool = False
) -> list[str]:
    """The flat pattern in at most ``height`` lines; ``here`` is a panel or hole to mark.

    Outline and holes are lines, bends dash-dot with their letter, scores dotted beside them, and
    the strip that is heated is shaded. ``sideways``: its lower edge lies on the left.
    """
    picture, notes = flat_with_notes(build, part_id, width, height, here, sideways)
    return [*picture, *notes]


def flat_with_notes(
    build: Build, part_id: str, width: int, height: int, here: str = "", sideways: bool = False
) -> tuple[list[str], list[str]]:
    """The lines of the picture with its dimensions, and those of the legend below it."""
    flat = flat_of(build, part_id)
    if isinstance(flat, str):
        return [], wrap(flat, max(width, 1))[: max(height, 0)]
    if width < LEAST_WIDTH or height < LEAST_HEIGHT:
        return [], [cut(f"{_size(build, flat)}: no room to draw it", width)]
    tall, wide = _length(build, flat.height_m), _length(build, flat.width_m)
    if sideways:
        tall, wide = wide, tall
    notes = [cut(text, width) for text in legend(build, flat)][: max(1, (height - 3) // 3)]
    columns, rows = max(width - len(tall) - 3, 4), max(height - 1 - len(notes), 2)
    raster = Raster(_box(flat), columns, rows, sideways=sideways)
    _draw(raster, build, flat, here, sideways)
    lines = _beside(raster.text(), raster, tall)
    return [*lines, _below(raster, wide)], notes


def legend(build: Build, flat: Flat) -> list[str]:
    """The meaning of the letters and lines, the most important first."""
    letters = bend_letters(flat)
    lines = []
    if flat.overlaps:
        names = " and ".join(_name(build, id) for id in flat.overlaps[0])
        lines.append(f"OVERLAP: {names} would need the same piece of sheet")
    bends = [_bend_words(build, bend, letters[bend.panel]) for bend in flat.bends]
    if bends:
        lines.append("   ".join(bends))
    marks = []
    if flat.bends:
        marks.append("-.- bend")
    if any(bend.score_m for bend in flat.bends):
        marks.append("... score")
    if any(bend.heat_m for bend in flat.bends):
        marks.append("shaded: heated")
    if any(mount.panel in flat.panels for mount in build.mounts):
        marks.append("dotted box: device")
    if len(flat.holes) > MOST_HOLES:
        marks.append(f"{MOST_HOLES} of {len(flat.holes)} holes drawn")
    elif flat.holes:
        marks.append(f"{len(flat.holes)} hole{'s' * (len(flat.holes) > 1)}")
    if marks:
        lines.append("   ".join(marks))
    return lines


def bend_letters(flat: Flat) -> dict[str, str]:
    """The letter of each bend, by the panel that is bent; beyond Z they are numbered."""
    return {
        bend.panel: ascii_uppercase[i] if i < len(ascii_uppercase) else str(i + 1)
        for i, bend in enumerate(flat.bends)
    }


def bend_lines(build: Build, flat: Flat) -> list[str]:
    """One line for each bend: letter, panel, angle, radius, allowance, heated strip."""
    letters = bend_letters(flat)
    found = []
    for bend in flat.bends:
        words = [
            f"{letters[bend.panel]}  {_name(build, bend.panel)}: {bend.angle_deg:.4g} degrees "
            f"{'up' if bend.up else 'down'}",
            f"inside radius {_length(build, bend.radius_m)}",
            f"takes {_length(build, bend.allowance_m)}",
        ]
        if bend.score_m:
            words.append(f"scored {_length(build, bend.score_m)} deep")
        if bend.heat_m:
            words.append(f"heated {_length(build, bend.heat_m)} wide")
        found.append(", ".join(words))
    return found


def hole_lines(build: Build, flat: Flat) -> list[str]:
    """One line for each hole: its centre from the lower left corner, and its drill."""
    found = []
    for hole in flat.holes[:MOST_HOLES]:
        across = f" x {_length(build, hole.across_m)}" if hole.across_m else ""
        thread = f", {hole.kind.value} {hole.thread}".rstrip() if hole.thread else ""
        found.append(
            f"{hole.id:<8} {_length(build, hole.x_m):>9} right, {_length(build, hole.y_m):>9} up: "
            f"{hole.shape.value} {_length(build, hole.diameter_m)}{across}, "
            f"drill {hole.drill}{thread}"
        )
    if len(flat.holes) > MOST_HOLES:
        found.append(f"and {len(flat.holes) - MOST_HOLES} more")
    return found


def _draw(raster: Raster, build: Build, flat: Flat, here: str, sideways: bool) -> None:
    letters = bend_letters(flat)
    for bend in flat.bends:
        if bend.heat_m:
            raster.shade(_strip(bend, bend.heat_m / 2))
    for bend in flat.bends:
        raster.line((bend.x0, bend.y0), (bend.x1, bend.y1), DASH_DOT)
        if bend.score_m:
            x, y = _aside(bend, 2 / raster.per_unit)
            start, end = (bend.x0 + x, bend.y0 + y), (bend.x1 + x, bend.y1 + y)
            raster.line(start, end, DOTTED)
    raster.lines(path_outline(flat.outline, 0.5 / raster.per_unit), closed=True)
    for hole in flat.holes[:MOST_HOLES]:
        _hole(raster, hole)
    for mount in build.mounts:
        if mount.panel in flat.panels:
            _device(raster, build, flat, mount)
    hole_here = next((hole for hole in flat.holes if hole.id == here), None)
    if hole_here is not None:
        raster.word((hole_here.x_m, hole_here.y_m), "X")
    for bend in flat.bends:
        middle = (bend.x0 + bend.x1) / 2, (bend.y0 + bend.y1) / 2
        raster.word(middle, letters[bend.panel])
    for id, place in flat.panels.items():
        x0, y0, x1, y1 = place.rect
        room = int((y1 - y0 if sideways else x1 - x0) * raster.per_unit / 2) - 2
        name = _name(build, id)
        name = f">{name}<" if id == here else name
        if len(name) <= room and name.isascii():
            raster.word(((x0 + x1) / 2, (y0 + y1) / 2), name, middle=True)


def _device(raster: Raster, build: Build, flat: Flat, mount: Mount) -> None:
    """The outline of what is mounted."""
    footprint = find(build, mount.footprint) if mount.footprint else None
    if not isinstance(footprint, Footprint):
        return
    long, wide = footprint.length_m, footprint.width_m
    corners = [
        flat.panels[mount.panel].at(*stud_place(mount, footprint, x, y))
        for x, y in ((0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide))
    ]
    for start, end in zip(corners, (*corners[1:], corners[0]), strict=True):
        raster.line(start, end, DOTTED)


def _hole(raster: Raster, hole: FlatHole) -> None:
    """The outline of a hole, or a dot if it is too small for one."""
    if max(hole.diameter_m, hole.across_m or 0.0) * raster.per_unit < 2:
        raster.line((hole.x_m, hole.y_m), (hole.x_m, hole.y_m))
        return
    raster.lines(path_outline(hole_path(hole), 0.5 / raster.per_unit), closed=True)


def _box(flat: Flat) -> Box:
    return path_bounds(flat.outline) if flat.outline else (0.0, 0.0, flat.width_m, flat.height_m)


def _strip(bend: BendLine, half_m: float) -> Box:
    """The strip about a bend line, this far to both sides [m]."""
    x, y = (abs(each) for each in _aside(bend, half_m))
    return (
        min(bend.x0, bend.x1) - x,
        min(bend.y0, bend.y1) - y,
        max(bend.x0, bend.x1) + x,
        max(bend.y0, bend.y1) + y,
    )


def _aside(bend: BendLine, by_m: float) -> tuple[float, float]:
    length = hypot(bend.x1 - bend.x0, bend.y1 - bend.y0) or 1.0
    return -(bend.y1 - bend.y0) / length * by_m, (bend.x1 - bend.x0) / length * by_m


def _beside(lines: list[str], raster: Raster, text: str) -> list[str]:
    """The picture with its height on its right."""
    found = []
    last = len(lines) - 1
    for place, line in enumerate(lines):
        mark = "┬" if place == 0 else "┴" if place == last else "│"
        words = f" {text}" if place == last // 2 else ""
        found.append(f"{line.ljust(raster.columns)} {mark}{words}")
    return found


def _below(raster: Raster, text: str) -> str:
    """The width, over the whole picture."""
    rest = raster.columns - len(text) - 4
    if rest < 0:
        return text
    return f"├{'─' * (rest // 2)} {text} {'─' * (rest - rest // 2)}┤"


def _bend_words(build: Build, bend: BendLine, letter: str) -> str:
    way = "up" if bend.up else "down"
    return f"{letter} {_name(build, bend.panel)} {bend.angle_deg:.4g} {way}"


def _name(build: Build, id: str) -> str:
    return str(getattr(find(build, id), "name", "") or id)


def _size(build: Build, flat: Flat) -> str:
    return f"{_length(build, flat.height_m)} x {_length(build, flat.width_m)}"


def _length(build: Build, value_m: float) -> str:
    return format_quantity("small_length", value_m, build.header.units)
