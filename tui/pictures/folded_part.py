"""The folded part as text: a line picture in parallel projection that can be turned.

Faces are drawn from the back, each erasing what lies behind it.
"""

from domain.build.records import Build, Part
from domain.document.records import find
from domain.fabrication.shape.flat_pattern import NotDeveloped, fold
from domain.fabrication.shape.folded_faces import TILT_DEG, TURN_DEG, seen_faces
from domain.units.show import format_quantity
from tui.pictures.flat_part import MOST_HOLES, flat_of, flat_with_notes
from tui.pictures.raster import Raster, around
from tui.widgets.cell_text import cut, wrap

STRIPS = 3
"""Number of flat strips that a bend is drawn as."""

LEAST_FOLDED = 20
"""Least width of the folded part beside the flat pattern [cells]."""


def folded_picture(
    build: Build,
    part_id: str,
    width: int,
    height: int,
    turn_deg: float = TURN_DEG,
    tilt_deg: float = TILT_DEG,
) -> list[str]:
    """The folded part, seen from ``turn_deg`` about the upright axis and ``tilt_deg`` above.

    At most ``height`` lines; the last gives its overall size.
    """
    flat = flat_of(build, part_id)
    part = find(build, part_id) if part_id else None
    folded = fold(build, part) if isinstance(part, Part) else None
    if isinstance(flat, str) or folded is None or isinstance(folded, NotDeveloped):
        return wrap(flat if isinstance(flat, str) else "It cannot be folded.", max(width, 1))
    faces = seen_faces(
        flat,
        folded,
        turn_deg=turn_deg,
        tilt_deg=tilt_deg,
        strips=STRIPS,
        chord_error_m=2e-4,
        most_holes=MOST_HOLES,
    )
    raster = Raster(around(p for face in faces for p in face.corners), width, max(height - 1, 2))
    for face in faces:
        raster.erase(face.corners)
        for edge in face.edges:
            raster.line(*edge)
        for hole in face.holes:
            raster.lines(hole, closed=True)
    across, along, up = (
        format_quantity("small_length", size, build.header.units) for size in folded.envelope
    )
    room = f"takes {across} across, {along} along, {up} up"
    return [*raster.text(), cut(room, width)]


def both_pictures(build: Build, part_id: str, width: int, height: int, here: str = "") -> list[str]:
    """The flat pattern, with the folded part beside it if there is room."""
    picture, notes = flat_with_notes(build, part_id, width, height, here)
    taken = max((len(line) for line in picture), default=0) + 3
    flat = flat_of(build, part_id)
    if not picture or isinstance(flat, str) or not flat.bends or width - taken < LEAST_FOLDED:
        return [*picture, *notes]
    folded = folded_picture(build, part_id, width - taken, len(picture))
    folded += [""] * (len(picture) - len(folded))
    beside = [
        f"{left.ljust(taken)}{right}".rstrip() for left, right in zip(picture, folded, strict=True)
    ]
    return [*beside, *notes]
