"""The runs: their schedule, their looms, the leads beside them; their rows for a spreadsheet."""

from collections.abc import Callable

from msgspec import Struct

from domain.build.choices import WireSizes, shown
from domain.csv_cells import Cell
from domain.electrical.conductors import stock
from domain.sheet import LeadResult, Loom, LoomStretch, RemoteResult, RunResult, Sheet
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
from domain.units.gauges import gauge_text
from domain.units.habit import UnitHabit
from domain.units.unit_table import FOOT


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
            lambda s, r: gauge_text(r.gauge, r.count),
            lambda s, r: "" if r.gauge_auto else PINNED,
        ),
        Column(
            "holds",
            "Ampacity",
            "current",
            lambda s, r: r.ampacity_a,
            says="what one wire carries there continuously, heat and bundle counted",
        ),
        Column("fuse", "Fuse", "current", lambda s, r: r.fuse_a, pinned_fuse),
        Column(
            "full",
            "Full power",
            "current",
            lambda s, r: r.design_a,
            says="current in one wire with every amplifier at rated power with a steady tone",
        ),
        Column(
            "drop",
            "Drop",
            "voltage",
            lambda s, r: r.drop_v,
            says="volts lost from end to end of this run, at full power",
        ),
        Column(
            "warm",
            "Wire temp",
            "temperature",
            lambda s, r: r.temperature_c,
            says="of the conductor, at full power",
        ),
    ),
    legend=f"{PINNED_SAID}  {ASSUMED_SAID}  Ampacity: what the wire carries there continuously. "
    "Full power, drop and temperature: every amplifier at rated power with a steady tone. "
    "Of several wires, as 2 x 1/0 AWG, length, fuse and currents are those of each.",
)


class StretchRow(Struct, frozen=True):
    """A stretch with the loom that it is of."""

    loom: Loom
    stretch: LoomStretch


def _stretches(subject: Subject) -> list[StretchRow]:
    return [StretchRow(loom, each) for loom in subject.sheet.looms for each in loom.stretches]


def _tube(subject: Subject, row: StretchRow) -> str:
    return row.stretch.tube or ("too large" if row.loom.sleeved else "bare")


LOOMS: Table[StretchRow] = Table(
    rows=_stretches,
    columns=(
        Column("loom", "Harness", TEXT, lambda s, r: r.loom.name),
        Column("from", "From", "length", lambda s, r: r.stretch.start_m or "its start"),
        Column("to", "to", "length", lambda s, r: r.stretch.end_m),
        Column("bundle", "Bundle", "small_length", lambda s, r: r.stretch.bundle_m),
        Column("tube", "Tube", TEXT, _tube),
        Column("runs", "Runs", TEXT, lambda s, r: ", ".join(r.stretch.runs)),
    ),
)


USUAL = "~"
"""Before a figure that is usual for its kind and was not entered."""


def _wire(subject: Subject, lead: LeadResult) -> str:
    if not lead.gauge:
        return f"{lead.count} pair{'' if lead.count == 1 else 's'}"
    return gauge_text(lead.gauge, lead.count)


def _ends(subject: Subject, lead: LeadResult) -> str:
    return f"{lead.source} to {lead.target}"


def _draw(subject: Subject, lead: LeadResult) -> str | None:
    if lead.carries_a is None:
        return None
    usual = USUAL if lead.draw_auto else ""
    return usual + subject.show("current", lead.carries_a)


LEADS: Table[LeadResult] = Table(
    rows=lambda s: s.sheet.leads,
    columns=(
        Column("id", "Lead", TEXT, lambda s, r: r.record),
        Column("name", "Name", TEXT, lambda s, r: r.name),
        Column("kind", "Kind", TEXT, lambda s, r: r.kind),
        Column("ends", "From, to", TEXT, _ends),
        Column(
            "length",
            "Length",
            "length",
            lambda s, r: r.length_m,
            lambda s, r: ASSUMED if r.length_auto else "",
        ),
        Column(
            "wire", "Wire", GAUGE, _wire, lambda s, r: "" if r.gauge_auto or not r.gauge else PINNED
        ),
        Column("carries", "Carries", TEXT, _draw),
        Column("fuse", "Fuse", "current", lambda s, r: r.fuse_a),
        Column("drop", "Drop", "voltage", lambda s, r: r.drop_v),
    ),
    legend=f"{ASSUMED_SAID}  {USUAL} usual for its kind, not entered. Carries: what the devices "
    "behind it take. No run of the power side: these are for bill, labels and laying.",
)
"""Every lead, the wires of relays first."""


def switched_by(subject: Subject, remote: RemoteResult) -> str:
    """Whether the output does it by itself, or a relay does, and what feeds that, in words."""
    if not remote.relay:
        return "by itself"
    fuse = f", {subject.show('current', remote.fuse_a)} fuse" if remote.fuse_a is not None else ""
    return f"by a relay on {subject.name(remote.feed) if remote.feed else 'nothing yet'}{fuse}"


def _limit(subject: Subject, remote: RemoteResult) -> str:
    return (USUAL if remote.limit_auto else "") + subject.show("current", remote.limit_a)


REMOTES: Table[RemoteResult] = Table(
    rows=lambda s: s.sheet.remotes,
    columns=(
        Column("name", "Remote output", TEXT, lambda s, r: r.name),
        Column("devices", "Devices", TEXT, lambda s, r: str(r.devices)),
        Column("draw", "They take", "current", lambda s, r: r.devices_a),
        Column("given", "It gives", "current", lambda s, r: r.given_a),
        Column("limit", "At most", TEXT, _limit),
        Column("by", "Switches", TEXT, switched_by),
    ),
)
"""Every remote output with its relay."""


_Of = Callable[[Subject, RunResult], Cell]

_PLAIN, _LENGTH, _TEMPERATURE = "", "length", "temperature"


def _loom_name(subject: Subject, run: RunResult) -> str:
    return next((loom.name for loom in subject.sheet.looms if run.id in loom.runs), "")


def _yes(flag: bool) -> str:
    return "yes" if flag else "no"


def _set_by(auto: bool) -> str:
    return "auto" if auto else "hand"


_SPREADSHEET: tuple[tuple[str, str, _Of], ...] = (
    ("id", _PLAIN, lambda s, r: r.id),
    ("run", _PLAIN, lambda s, r: r.name),
    ("polarity", _PLAIN, lambda s, r: r.polarity),
    ("from", _PLAIN, lambda s, r: s.name(r.source)),
    ("to", _PLAIN, lambda s, r: s.name(r.target)),
    ("length", _LENGTH, lambda s, r: r.length_m),
    ("wire with slack", _LENGTH, lambda s, r: r.wire_m),
    ("measured", _PLAIN, lambda s, r: _yes(not r.length_auto)),
    ("wires", _PLAIN, lambda s, r: r.count),
    ("gauge", _PLAIN, lambda s, r: gauge_text(r.gauge)),
    ("gauge set by", _PLAIN, lambda s, r: _set_by(r.gauge_auto)),
    ("area mm2", _PLAIN, lambda s, r: r.area_mm2),
    ("metal", _PLAIN, lambda s, r: r.metal),
    ("conductor kg", _PLAIN, lambda s, r: r.conductor_kg),
    ("ampacity A", _PLAIN, lambda s, r: r.ampacity_a),
    ("fuse A", _PLAIN, lambda s, r: r.fuse_a),
    ("fuse set by", _PLAIN, lambda s, r: "" if r.fuse_a is None else _set_by(r.fuse_auto)),
    ("fuse type", _PLAIN, lambda s, r: "" if r.fuse_a is None else shown(r.fuse_family)),
    ("wire to fuse", _LENGTH, lambda s, r: r.fuse_distance_m),
    ("full power A", _PLAIN, lambda s, r: r.design_a),
    ("average A", _PLAIN, lambda s, r: r.programme_a),
    ("drop V", _PLAIN, lambda s, r: r.drop_v),
    ("heat W", _PLAIN, lambda s, r: r.heat_w),
    ("temperature", _TEMPERATURE, lambda s, r: r.temperature_c),
    ("existing", _PLAIN, lambda s, r: _yes(r.existing)),
    ("harness", _PLAIN, _loom_name),
    ("lie together", _PLAIN, lambda s, r: r.bundle),
    ("cover", _PLAIN, lambda s, r: r.cover),
)


def run_rows(subject: Subject) -> list[list[Cell]]:
    """A row of headings, then a row for every run: plain numbers, the unit in the heading.

    Lengths are feet or metres and temperatures F or C by the build's habit.
    """
    inch = subject.build.header.units is UnitHabit.INCH
    units = {_PLAIN: "", _LENGTH: "ft" if inch else "m", _TEMPERATURE: "F" if inch else "C"}
    rows: list[list[Cell]] = [
        [f"{title} {units[kind]}".rstrip() for title, kind, _ in _SPREADSHEET]
    ]
    for run in subject.sheet.runs:
        rows.append([_in_units(kind, of(subject, run), inch) for _, kind, of in _SPREADSHEET])
    return rows


def _in_units(kind: str, cell: Cell, inch: bool) -> Cell:
    if not inch or not isinstance(cell, int | float):
        return cell
    if kind == _LENGTH:
        return cell / FOOT.factor
    return cell * 1.8 + 32 if kind == _TEMPERATURE else cell


JUMP = 2
"""So many stock sizes at once are said with their reason."""


def jumped(before: Sheet, after: Sheet) -> str:
    """What is said of the chosen wire that changed the most, where that is ``JUMP`` sizes or more.

    Its size now, what it was and why; empty where none changed so much.
    """
    was = {run.id: run for run in before.runs if run.gauge_auto}
    both = [(was[run.id], run) for run in after.runs if run.gauge_auto and run.id in was]
    far = [(_steps(old.gauge, new.gauge), old, new) for old, new in both]
    jumps = [each for each in far if each[0] >= JUMP]
    if not jumps:
        return ""
    _, old, new = max(jumps, key=lambda each: each[0])
    now, then = (gauge_text(run.gauge, run.count) for run in (new, old))
    more = f" ({len(jumps) - 1} more changed so much)" if len(jumps) > 1 else ""
    return f"{new.name}: {now}, it was {then}: {new.gauge_why}{more}"


def _steps(one: str, other: str) -> int:
    """How many stock sizes lie between two gauges; 0 where one is in no stock of the other's."""
    for sizes in WireSizes:
        names = stock(sizes)
        if one in names and other in names:
            return abs(names.index(one) - names.index(other))
    return 0
