"""Tables of the electrical studies: drive, designs, mounting spots, fuse points, ground returns."""

from collections import Counter
from dataclasses import dataclass
from typing import Any

from domain.build.edits import Edit
from domain.build.records import Build, CurvePoint, Spot, label
from domain.electrical.conductors import area_mm2
from domain.sheet import Design, Sheet
from domain.topics.loads import AMPLIFIERS
from domain.topics.shower import shower
from domain.units.gauges import format_gauge
from tui.tables.columns import Column, Figure
from tui.tables.figures import shown_by
from tui.tables.table import TableSpec, columns_of, every_record


@dataclass(frozen=True, slots=True)
class DesignRow:
    """A design with its title as the row's id."""

    id: str
    design: Design


def _designs(build: Build, sheet: Sheet, part: str) -> list[Any]:
    return [DesignRow(design.title, design) for design in sheet.designs]


def _drop(build: Build, sheet: Sheet, row: DesignRow) -> str:
    drop, limit = row.design.worst_drop_v, build.header.drop_limit_v
    return f"{shower(build)('voltage', drop)} {'ok' if drop <= limit + 1e-9 else 'OVER'}"


def _sizes(build: Build, sheet: Sheet, row: DesignRow) -> str:
    counted = Counter(row.design.gauges.values())
    thickest_first = sorted(counted, key=area_mm2, reverse=True)
    return ", ".join(f"{counted[size]} x {format_gauge(size)}" for size in thickest_first)


DESIGNS = TableSpec(
    "designs",
    "distribution",
    "",
    "Designs: the chosen one and its neighbours",
    (
        Figure("designs", "·title", "·Design", 14, figure=lambda b, s, row: row.id),
        Figure(
            "designs",
            "·kg",
            "·Copper",
            9,
            figure=lambda b, s, row: shower(b)("mass", row.design.copper_kg),
        ),
        Figure("designs", "·worst", "·Worst drop", 11, figure=_drop),
        Figure(
            "designs",
            "·fits",
            "·Fits",
            5,
            figure=lambda b, s, row: "yes" if row.design.fits else "NO",
        ),
        Figure("designs", "·sizes", "·Sizes", 24, figure=_sizes),
    ),
    _designs,
    empty="nothing to compare, no size is left to be chosen",
)


def _rank(build: Build, sheet: Sheet, spot: Spot) -> str:
    found = next((s for s in sheet.spots if s.id == spot.id), None)
    if found is None or not spot.run:
        return "-"
    return f"{found.rank} of {sum(s.run == spot.run for s in sheet.spots)}"


def _why(build: Build, sheet: Sheet, spot: Spot) -> str:
    found = next((s for s in sheet.spots if s.id == spot.id), None)
    if found is None or not spot.run:
        return "name the run whose fuse would sit here"
    run = sheet.run(spot.run)
    here = run is not None and run.fuse_distance_m == spot.feed_m
    return ("fuse is here; " if here else "") + found.why


SPOTS = TableSpec(
    "spots",
    "distribution",
    "spots",
    "Mounting spots (ctrl+u puts the fuse there)",
    (
        *columns_of("spots", ("name", "Spot", 16), ("run", "Run", 12)),
        Figure("spots", "·rank", "·Rank", 6, figure=_rank),
        Figure("spots", "·why", "·Decides", 28, figure=_why),
        *columns_of(
            "spots",
            ("feed_m", "From post", 10),
            ("onward_m", "Onward", 10),
            ("zone", "Zone", 12),
            ("reach", "Reach", 10),
            ("hazard", "Rules it out", 22),
            ("blocks", "In the way", 10),
        ),
    ),
    every_record("spots"),
)


def _fuses_with(build: Build, sheet: Sheet, point: CurvePoint) -> str:
    using = [
        label(build, study.id)
        for study in sheet.studies
        if study.family == point.family.value and point.rating_a in (None, study.rating_a)
    ]
    return ", ".join(using) or "no fuse of this build"


@dataclass(frozen=True, slots=True)
class Seconds(Column):
    """A time as fuse sheets print it: a bare number is seconds."""

    def typed(self, build: Build, record: Any, text: str) -> Edit:
        """A time, in seconds where no unit is typed."""
        try:
            float(text.replace(",", "."))
        except ValueError:
            return Column.typed(self, build, record, text)
        return Column.typed(self, build, record, f"{text} s")

    def described(self, build: Build) -> str:
        """What may be typed."""
        return (
            f"{self.title}: time to open at this current; type 12 s, 350 ms or a bare number of s"
        )


CURVES = TableSpec(
    "curves",
    "distribution",
    "curves",
    "Fuse points: from the fuse's own sheet",
    (
        *columns_of(
            "curves",
            ("family", "Family", 16),
            ("rating_a", "Rating", 8),
            ("current_ratio", "x rating", 8),
        ),
        Seconds("curves", "fastest_s", "Fastest", 9),
        Seconds("curves", "slowest_s", "Slowest", 9),
        Figure("curves", "·used", "·Used by", 24, figure=_fuses_with),
    ),
    every_record("curves"),
    first="rating_a",
)

LEGS = TableSpec(
    "legs",
    "battery",
    "legs",
    "Drive profile (ctrl+t drives it)",
    columns_of(
        "legs",
        ("name", "Leg", 18),
        ("engine", "Engine", 8),
        ("playing", "Playing", 10),
        ("duration_s", "For", 10),
    ),
    every_record("legs"),
)


RETURNS = TableSpec(
    "returns",
    "grounds",
    "",
    "Amplifier grounds: offset and way back",
    (
        Figure("returns", "·name", "·Amplifier", 18, figure=shown_by(AMPLIFIERS, "name")),
        Figure("returns", "·offset", "·Offset", 8, figure=shown_by(AMPLIFIERS, "offset")),
        Figure("returns", "·return", "·Return", 8, figure=shown_by(AMPLIFIERS, "back")),
        Figure("returns", "·path", "·Way back", 60, figure=shown_by(AMPLIFIERS, "way")),
    ),
    lambda build, sheet, part: list(sheet.amplifiers),
    empty="no amplifiers yet",
)
