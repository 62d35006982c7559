"""Everything there is to say of one thing, downwards: each field with its value and why."""

from typing import Any

from msgspec import Struct

from domain.build.choices import BlockKind, Chemistry, FuseFamily, Isolates, LeadKind, LoadKind
from domain.build.record_kinds.lead_records import Lead, RemoteOutput
from domain.build.records import Appliance, Battery, Block, Build, Run, table_of
from domain.document.declared import declared
from domain.document.entry import Entry
from domain.document.records import find, label
from domain.electrical.blocks import bought_as
from domain.electrical.network.converters import is_converter
from domain.electrical.network.voltage_relays import by_voltage
from domain.findings import Level
from domain.reference.counter_words import with_standard
from domain.routes.ways import ways
from domain.sheet import Sheet
from domain.topics.shower import shower
from tui.tables.columns import Borrowed, Column

_PROTECTION = (
    *("discharge_limit_a", "charge_limit_a"),
    *("hottest_c", "charge_hottest_c", "charge_coldest_c"),
)
"""What the protection of a lithium battery allows."""

GROUPS: dict[str, tuple[tuple[str, tuple[str, ...]], ...]] = {
    "runs": (
        (
            "Route",
            ("name", "source", "target", "length_m", "via", "slack_m", "zone", "loom", "bundle"),
        ),
        ("Wire", ("gauge", "count", "metal", "insulation", "cover", "colour", "existing")),
        (
            "Fuse",
            (
                "fuse_a",
                "fuse_family",
                "fuse_distance_m",
                "far_fused",
                "far_fuse_distance_m",
                "breaks_a",
                "resets",
            ),
        ),
        ("Ends", ("near_end", "far_end")),
    ),
    "amplifiers": (
        ("Amplifier", ("name", "power", "amplifier_class", "efficiency", "regulated")),
        ("Takes", ("onboard_fuse_a", "largest_wire", "lowest_v", "idle_a")),
        ("Place", ("zone", "place")),
    ),
    "batteries": (
        ("Battery", ("name", "chemistry", "capacity_ah", "made_year")),
        ("Current it gives", ("cranking_a", "resistance_ohm")),
        (
            "Its protection",
            _PROTECTION,
        ),
        ("Place", ("stud", "zone", "place")),
    ),
    "alternators": (
        ("Output", ("name", "rated_a", "hot", "idle_a", "regulated_v")),
        ("Smart", ("smart", "low_v", "high_v")),
        ("Turns", ("idle_rpm", "cruise_rpm", "pulley_ratio")),
        ("Vehicle", ("vehicle_load_a", "place")),
    ),
    "blocks": (
        ("Block", ("name", "kind", "places", "fused")),
        ("Takes", ("largest_in", "largest_out")),
        ("Bus bar", ("bar_width_m", "bar_thick_m")),
        ("Isolator", ("isolates", "rated_a", "peak_a", "charge_v", "input_a", "efficiency")),
        ("Relay", ("join_v", "part_v", "join_s", "part_s")),
        ("Place", ("zone", "place")),
    ),
    "grounds": (
        ("Ground", ("name", "surface", "stud")),
        ("Body", ("resistance_ohm", "signal")),
        ("Place", ("zone", "place")),
    ),
    "appliances": (
        ("Load", ("name", "kind", "power_w", "rated_v", "efficiency", "works", "duty")),
        ("Takes", ("onboard_fuse_a", "largest_wire", "lowest_v", "idle_a")),
        ("Capacitor", ("capacitance_f", "esr_ohm", "withstand_v")),
        ("Place", ("zone", "place")),
    ),
    "remotes": (
        ("Output", ("name", "kind", "limit_a", "place")),
        ("Relay", ("relay", "feed", "feed_m", "coil_m")),
    ),
    "leads": (
        ("Lead", ("name", "kind", "source", "target", "length_m", "count")),
        ("Takes", ("draws_a", "gauge")),
    ),
}
"""Which fields stand together; those that are not named come last."""

_LAST_GROUP, _FOLLOWS = "More", "Follows"

_CAPACITOR = ("capacitance_f", "esr_ohm", "withstand_v")


def _beside_the_point(record: Any) -> tuple[str, ...]:
    """Fields that say nothing of a record as long as it is of its kind; what is there is shown."""
    found: tuple[str, ...] = ()
    if isinstance(record, Appliance):
        inverter, capacitor = record.kind is LoadKind.INVERTER, record.kind is LoadKind.CAPACITOR
        found += () if inverter else ("efficiency",)
        found += ("power_w", "rated_v", "works", "duty") if capacitor else _CAPACITOR
    if isinstance(record, Battery) and record.chemistry is not Chemistry.LIFEPO4:
        found += _PROTECTION
    if isinstance(record, Block):
        isolator = record.kind is BlockKind.ISOLATOR
        bar = record.kind is BlockKind.BUS_BAR
        found += ("places", "fused") if isolator else ("isolates", "peak_a")
        found += () if isolator or bar else ("rated_a",)
        found += ("fused",) if bar else ("bar_width_m", "bar_thick_m")
        relay = isolator and record.isolates in (None, Isolates.RELAY)
        found += () if relay else ("join_v",)
        found += () if by_voltage(record) else ("part_v", "join_s", "part_s")
        found += () if is_converter(record) else ("charge_v", "input_a", "efficiency")
    if isinstance(record, Run) and record.fuse_family is not FuseFamily.BREAKER:
        found += ("resets",)
    if isinstance(record, Lead):
        found += () if record.kind is LeadKind.REMOTE else ("draws_a",)
        found += ("gauge",) if record.kind is LeadKind.SIGNAL else ()
    if isinstance(record, RemoteOutput) and record.relay is False:
        found += ("feed", "feed_m", "coil_m")
    kind: type[Entry] = type(record)
    fields = declared(kind)
    return tuple(f for f in found if getattr(record, f) == fields[f].default)


class FieldRow(Struct, frozen=True):
    """One field of a record as a row; ``group`` is empty but in the first row of a group."""

    id: str
    record: str
    group: str
    column: Borrowed

    def subject(self, build: Build) -> Any:
        """The record."""
        return find(build, self.record)


def fields_of(build: Build, columns: dict[str, tuple[Column, ...]], ids: str) -> list[FieldRow]:
    """The fields of records, given by their ids with spaces between."""
    found: list[FieldRow] = []
    for id in ids.split():
        record = find(build, id)
        if record is None:
            continue
        table = table_of(id)
        beside = _beside_the_point(record)
        left = {c.field: c for c in columns.get(table, ()) if c.editable and c.field not in beside}
        figures = {c.field: c for c in columns.get(table, ()) if not c.editable}
        groups = [*GROUPS.get(table, ()), (_LAST_GROUP, tuple(left))]
        if not GROUPS.get(table):
            groups = [(table.capitalize().removesuffix("s"), tuple(left))]
        left |= figures
        for title, names in (*groups, (_FOLLOWS, tuple(figures))):
            own = [left.pop(name) for name in names if name in left]
            for place, column in enumerate(own):
                found.append(
                    FieldRow(f"{id}.{column.field}", id, "" if place else title, _form(column))
                )
    return found


def _form(column: Column) -> Borrowed:
    # A run's name is drawn as a limb elsewhere: here it stands by itself.
    limb = column.table == "runs" and column.field == "name"
    inner = Column(column.table, "name", "Name", 22) if limb else column
    title = inner.title.lstrip("·")
    return Value(inner.table, inner.field, title, 22, inner.covers, inner=inner)


class Value(Borrowed, frozen=True):
    """A field of a record as a row of its form."""

    @property
    def id(self) -> str:
        """The form has one column for all its values."""
        return "value"

    @property
    def after_enter(self) -> str:
        """To the next field."""
        return "right"


def wrong(sheet: Sheet, row: FieldRow, *, with_do: bool = False) -> str:
    """The worst that is wrong with a field, and what to do; "" where nothing is.

    The name stands for the thing as a whole: what concerns none of its fields is said there.
    """
    fields = (row.column.field, *row.column.covers)
    found = [
        finding
        for finding in sheet.findings
        if finding.id == row.record
        and (finding.field in fields or ("name" in fields and not finding.field))
    ]
    worst = min(found, key=lambda finding: _WORST_FIRST.index(finding.level), default=None)
    if worst is None:
        return ""
    return f"{worst.level.name}: {worst.with_do if with_do else worst.what}"


_WORST_FIRST = (Level.STOP, Level.FIX, Level.NOTE)


def reason(build: Build, sheet: Sheet, row: FieldRow) -> str:
    """Why a field that was left open is what it is; "" where nothing more is known of it."""
    record, field = find(build, row.record), row.column.field
    if isinstance(record, Block) and field in ("kind", "isolates"):
        return with_standard(bought_as(record))
    run = sheet.run(row.record) if isinstance(record, Run) else None
    if run is None:
        return ""
    show = shower(build)
    if field == "gauge":
        return run.gauge_why
    if field == "fuse_family" and run.fuse_family:
        return with_standard(run.fuse_family)
    measured = isinstance(record, Run) and record.length_m is not None
    if field == "length_m" and not measured and (way := ways(build).get(run.id)):
        named = " > ".join(label(build, place) for place in way.places)
        return f"{named}{', a section not measured' if run.length_auto else ''}"
    if field == "length_m" and run.length_auto:
        return "assumed, not measured yet"
    if field == "fuse_a" and run.fuse_a is not None:
        carries = f"carries {show('current', run.design_a)}"
        return f"{carries}, wire {show('current', run.ampacity_a)}"
    return ""


def why(build: Build, sheet: Sheet, row: FieldRow) -> str:
    """What is wrong with the field, else why it is what it is, else what it is."""
    # The thing is named over the form: what is wrong with it begins with what is wrong.
    found = wrong(sheet, row).replace(f": {label(build, row.record)}: ", ": ", 1)
    told = found or reason(build, sheet, row)
    return told or row.column.described(build).partition(": ")[2]
