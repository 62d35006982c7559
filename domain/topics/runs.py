"""The run schedule: every run with its wire, fuse, current, drop and temperature."""

from domain.sheet import RunResult
from domain.topics.tables import (
    ASSUMED,
    ASSUMED_SAID,
    GAUGE,
    PINNED,
    PINNED_SAID,
    TEXT,
    Column,
    Subject,
    Table,
)


def pinned_fuse(subject: Subject, run: RunResult) -> str:
    """The mark behind a rating that the user set."""
    return "" if run.fuse_auto else PINNED


def fuse_shown(subject: Subject, run: RunResult) -> str:
    """The rating of a run's fuse with its mark, "-" where it has none."""
    return SCHEDULE.by_key["fuse"].cell(subject, run)


SCHEDULE: Table[RunResult] = Table(
    rows=lambda s: s.sheet.runs,
    columns=(
        Column("id", "Run", TEXT, lambda s, r: r.id),
        Column("name", "Name", TEXT, lambda s, r: r.name or s.name(r.id)),
        Column(
            "length",
            "Length",
            "length",
            lambda s, r: r.length_m,
            lambda s, r: ASSUMED if r.length_auto else "",
        ),
        Column(
            "wire",
            "Wire",
            GAUGE,
            lambda s, r: r.gauge,
            lambda s, r: "" if r.gauge_auto else PINNED,
        ),
        Column("holds", "Holds", "current", lambda s, r: r.ampacity_a),
        Column("fuse", "Fuse", "current", lambda s, r: r.fuse_a, pinned_fuse),
        Column("full", "Full tone", "current", lambda s, r: r.design_a),
        Column("drop", "Drop", "voltage", lambda s, r: r.drop_v),
        Column("warm", "Warm", "temperature", lambda s, r: r.temperature_c),
    ),
    legend=f"{PINNED_SAID}  {ASSUMED_SAID}  Holds: what the wire carries there continuously. Full "
    "tone, drop and temperature: all amplifiers at full tone.",
)
