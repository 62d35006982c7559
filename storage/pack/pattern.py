"""What all files of a part show, taken from its flat pattern: lines by layer, and labels.

Lengths in millimetres in the flat pattern's coordinates: x to the right, y upward.
"""

from enum import StrEnum
from math import atan2, degrees, hypot

from msgspec import Struct

from domain.build.choices import HoleKind, HoleShape, UnitHabit
from domain.build.records import Build, Part
from domain.document.records import find
from domain.fabrication.materials.inserts import insert_for
from domain.fabrication.other_hand import hands
from domain.fabrication.shape.flat_pattern import (
    Arc,
    BendLine,
    Flat,
    FlatHole,
    Line,
    NotDeveloped,
    Path,
    develop,
    hole_path,
)
from domain.units.show import format_quantity
from storage.errors import TransferError

MM = 1000.0


class Layer(StrEnum):
    """Layers of the files for machines: one meaning each, so that one can be left out.

    A bend is scored on its inside: up on the marked face, down on the back, where the sheet lies
    turned over. HEAT is the edges of the strip that softens: for marking, never for cutting.
    """

    CUT = "CUT"
    BEND_UP = "BEND_UP"
    BEND_DOWN = "BEND_DOWN"
    SCORE_MARKED_FACE = "SCORE_MARKED_FACE"
    SCORE_BACK = "SCORE_BACK"
    HEAT = "HEAT"
    DRILL = "DRILL"
    ENGRAVE = "ENGRAVE"


class Bend(Struct, frozen=True):
    """A bend line [mm] in the direction in which its words read, left to right or upward."""

    x0: float
    y0: float
    x1: float
    y1: float
    heat: float
    scored: bool
    words: str
    line: BendLine

    @property
    def layer(self) -> Layer:
        """The layer of the line: bent towards the marked face, or away from it."""
        return Layer.BEND_UP if self.line.up else Layer.BEND_DOWN

    @property
    def score_layer(self) -> Layer:
        """The layer of its score: on the face that is inside the bend."""
        return Layer.SCORE_MARKED_FACE if self.line.up else Layer.SCORE_BACK

    @property
    def length(self) -> float:
        """Length of the line [mm]."""
        return hypot(self.x1 - self.x0, self.y1 - self.y0)

    @property
    def turn_deg(self) -> float:
        """Direction of the line."""
        return degrees(atan2(self.y1 - self.y0, self.x1 - self.x0))

    def at(self, along: float, aside: float) -> tuple[float, float]:
        """The point at a distance along the line and another to its left [mm]."""
        length = self.length
        ux, uy = (self.x1 - self.x0) / length, (self.y1 - self.y0) / length
        return self.x0 + ux * along - uy * aside, self.y0 + uy * along + ux * aside

    def beside(self, aside: float) -> Line:
        """The line moved to its left [mm]."""
        return Line(*self.at(0, aside), *self.at(self.length, aside))


class Hole(Struct, frozen=True):
    """A hole [mm]: outline, centre, and the label beside it."""

    path: Path
    x: float
    y: float
    reach: float
    words: str
    round: bool
    flat: FlatHole


class Pattern(Struct, frozen=True):
    """A part's flat pattern [mm] with its words; ``revision`` and ``date`` as handed in."""

    part: Part
    build: Build
    flat: Flat
    outline: Path
    holes: tuple[Hole, ...]
    bends: tuple[Bend, ...]
    width: float
    height: float
    revision: str
    date: str

    @property
    def units(self) -> UnitHabit:
        """The user's unit system."""
        return self.build.header.units

    @property
    def name(self) -> str:
        """What the part is called."""
        return self.part.name or f"Part {self.part.id}"

    @property
    def sheet(self) -> str:
        """Material and thickness."""
        return f"{self.flat.material}, {small(self.part.thickness_m, self.units)} thick"


def pattern(build: Build, part_id: str, revision: str = "", date: str = "") -> Pattern:
    """The pattern of a part; raises ``TransferError`` with the reason if it has none."""
    part = next((part for part in build.parts if part.id == part_id), None)
    if part is None:
        known = ", ".join(f"{each.id} ({each.name[:40]})" for each in build.parts[:8])
        has = f"it has {known}" if known else "it has no custom part"
        raise TransferError(f"there is no part {part_id} in this build: {has}")
    flat = develop(build, part)
    name = part.name[:60] or part.id
    if isinstance(flat, NotDeveloped):
        raise TransferError(f"{name} has no flat pattern: {flat.why} ({flat.id})")
    if flat.overlaps:
        one, other = flat.overlaps[0]
        raise TransferError(
            f"{name} has no flat pattern: flanges {one} and {other} need the same piece of sheet"
        )
    return Pattern(
        part=part,
        build=build,
        flat=flat,
        outline=scaled(flat.outline),
        holes=tuple(_hole(hole, build.header.units) for hole in flat.holes),
        bends=tuple(_bend(bend, build.header.units) for bend in flat.bends),
        width=flat.width_m * MM,
        height=flat.height_m * MM,
        revision=revision,
        date=date,
    )


def patterns(build: Build, part_id: str, revision: str = "", date: str = "") -> list[Pattern]:
    """The pattern of a part, or one for each hand; raises what ``pattern`` raises."""
    part = find(build, part_id)
    if not isinstance(part, Part):
        return [pattern(build, part_id, revision, date)]
    return [pattern(drawn, part_id, revision, date) for drawn, _ in hands(build, part)]


def small(value_m: float | None, units: UnitHabit) -> str:
    """A short length in the unit system of the user."""
    return format_quantity("small_length", value_m, units)


def scaled(path: Path, factor: float = MM) -> Path:
    """A path scaled from metres to millimetres."""
    return tuple(
        Line(each.x0 * factor, each.y0 * factor, each.x1 * factor, each.y1 * factor)
        if isinstance(each, Line)
        else Arc(each.cx * factor, each.cy * factor, each.r * factor, each.start_deg, each.end_deg)
        for each in path
    )


def centre_mark(hole: Hole) -> tuple[Line, Line]:
    """The cross at the centre of a hole [mm]: past the edge of a small round one."""
    arm = hole.reach + 1.5 if hole.round and hole.reach <= 8.0 else 3.0
    return (
        Line(hole.x - arm, hole.y, hole.x + arm, hole.y),
        Line(hole.x, hole.y - arm, hole.x, hole.y + arm),
    )


def _hole(hole: FlatHole, units: UnitHabit) -> Hole:
    path = hole_path(hole)
    round_hole = len(path) == 1
    reach = max(hole.diameter_m, 0.0 if round_hole else hole.across_m or 0.0) / 2
    return Hole(
        path=scaled(path),
        x=hole.x_m * MM,
        y=hole.y_m * MM,
        reach=reach * MM,
        words=hole_words(hole, units),
        round=round_hole,
        flat=hole,
    )


def hole_words(hole: FlatHole, units: UnitHabit) -> str:
    """The work at this hole: drill and tap, or the size of the cut-out."""
    size = small(hole.diameter_m, units)
    if hole.shape is not HoleShape.ROUND:
        what = "slot" if hole.shape is HoleShape.SLOT else "cut-out"
        return f"{what} {size} x {small(hole.across_m, units)}"
    drill = f"drill {hole.drill}" if hole.drill.isalpha() else hole.drill
    if hole.kind is HoleKind.TAPPED:
        return f"{drill}, tap {hole.thread}"
    if hole.kind is HoleKind.COUNTERSUNK and hole.thread:
        return f"{drill}, countersink for {hole.thread}"
    if hole.kind is HoleKind.CLEARANCE and hole.thread:
        return f"{drill} for {hole.thread}"
    insert = insert_for(hole.kind, hole.thread)
    if insert is not None:
        deep = f" {small(insert.depth_m, units)} deep" if insert.depth_m else ""
        return f"{drill}{deep} for {hole.kind.value} {hole.thread}"
    return drill


def _bend(bend: BendLine, units: UnitHabit) -> Bend:
    ends = [(bend.x0 * MM, bend.y0 * MM), (bend.x1 * MM, bend.y1 * MM)]
    # Words read from the left, and upward from the right-hand side of the sheet.
    (x0, y0), (x1, y1) = sorted(ends, key=lambda end: (round(end[0], 6), end[1]))
    way = "up" if bend.up else "down"
    angle = format_quantity("angle", bend.angle_deg, units).removesuffix(" deg")
    words = f"{angle}° {way}, inside radius {small(bend.radius_m, units)}"
    if bend.score_m:
        words += f", score {small(bend.score_m, units)} deep"
    return Bend(x0, y0, x1, y1, bend.heat_m * MM, bool(bend.score_m), words, bend)
