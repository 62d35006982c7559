"""Tables of the electrical studies: drive, designs, fuse spots, fuse points, ground returns."""

from typing import Any

from domain.build.edits import Edit
from domain.build.records import Build, CurvePoint
from domain.document.records import label
from domain.sheet import Sheet
from domain.topics.designs import DESIGNS as ALL_DESIGNS
from domain.topics.designs import beside
from domain.topics.loads import AMPLIFIERS
from domain.topics.spots import SPOTS as RANKED
from domain.topics.tables import Subject
from tui.tables.cell_figures import OfTopic, shown_by
from tui.tables.columns import Column, Figure
from tui.tables.table_spec import TableSpec, columns_of, every_record


class _OfRow(OfTopic, frozen=True):
    """Prints a column of a row that is the topic's own: it knows the shop's prices."""

    def __call__(self, build: Build, sheet: Sheet, record: Any) -> str:
        """The figure of the row."""
        return self.topic.by_key[self.key].cell(Subject(build, sheet), record)


DESIGNS = TableSpec(
    "designs",
    "distribution",
    "",
    "Wire options: the chosen one beside others",
    (
        Figure("designs", "·title", "·Option", 14, figure=shown_by(ALL_DESIGNS, "title")),
        Figure("designs", "·kg", "·Conductor", 10, figure=shown_by(ALL_DESIGNS, "conductor")),
        Figure("designs", "·cost", "·Wire cost", 11, figure=_OfRow(ALL_DESIGNS, "cost")),
        Figure("designs", "·worst", "·Worst drop", 12, figure=shown_by(ALL_DESIGNS, "drop")),
        Figure("designs", "·fits", "·Fits terminals", 15, figure=shown_by(ALL_DESIGNS, "fits")),
        Figure("designs", "·sizes", "·Sizes", 24, figure=shown_by(ALL_DESIGNS, "sizes")),
    ),
    lambda build, sheet, part: list(beside(Subject(build, sheet))),
    empty="nothing to compare, no size is left to be chosen",
)


SPOTS = TableSpec(
    "spots",
    "distribution",
    "spots",
    "Fuse spots (ctrl+u puts the fuse there, alt+p makes a plate for it)",
    (
        *columns_of(
            "spots", ("name", "Fuse spot", 16), ("run", "Run", 12), ("feed_m", "From batt.", 10)
        ),
        Figure("spots", "·rank", "·Rank", 6, figure=shown_by(RANKED, "among")),
        Figure("spots", "·why", "·Reason", 20, figure=shown_by(RANKED, "decides")),
        *columns_of(
            "spots",
            ("onward_m", "Wire after it", 13),
            ("zone", "Location", 12),
            ("reach", "Access", 10),
            ("hazard", "Not allowed", 22),
            ("blocks", "Blocks access", 13),
            ("into", "Screws into", 26),
            ("behind_m", "Behind", 9),
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


class Seconds(Column, frozen=True):
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
    "Fuse time-current points, from the fuse's data sheet",
    (
        *columns_of(
            "curves",
            ("family", "Fuse type", 23),
            ("rating_a", "Rating", 8),
            ("current_ratio", "Times rating", 12),
        ),
        Seconds("curves", "fastest_s", "Min time", 9),
        Seconds("curves", "slowest_s", "Max time", 9),
        Figure("curves", "·used", "·Used by", 24, figure=_fuses_with),
    ),
    every_record("curves"),
    first="rating_a",
)

LEGS = TableSpec(
    "legs",
    "battery",
    "legs",
    "Trip, stage by stage (ctrl+t drives it)",
    columns_of(
        "legs",
        ("name", "Stage", 18),
        ("engine", "Engine", 8),
        ("playing", "Playing", 10),
        ("duration_s", "Lasts", 10),
    ),
    every_record("legs"),
)


RETURNS = TableSpec(
    "returns",
    "grounds",
    "",
    "Amplifier grounds: what is lost on the ground side",
    (
        Figure("returns", "·name", "·Amplifier", 18, figure=shown_by(AMPLIFIERS, "name")),
        Figure("returns", "·offset", "·Head unit", 10, figure=shown_by(AMPLIFIERS, "offset")),
        Figure("returns", "·return", "·Gnd drop", 9, figure=shown_by(AMPLIFIERS, "back")),
        Figure("returns", "·path", "·Return path", 29, figure=shown_by(AMPLIFIERS, "way")),
    ),
    lambda build, sheet, part: list(sheet.amplifiers),
    empty="no amplifiers yet",
)
