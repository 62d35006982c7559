"""Which tables each view of a build shows, with which columns, in which order of rows."""

from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from domain.build.choices import Polarity
from domain.build.records import CARRIED_TABLES, REFERENCES, TABLES, Build, Header
from domain.document.declared import declared
from domain.document.records import label
from domain.sheet import Sheet
from domain.topics.grounds import GROUNDS
from domain.topics.loads import AMPLIFIERS, APPLIANCES
from domain.topics.runs import LEADS, REMOTES, SCHEDULE
from tui.tables.cell_figures import shown_by
from tui.tables.columns import AUTO, Column, FarDevice, Figure, Fuse, Hang, HeaderColumn, Power
from tui.tables.parts import FABRICATED
from tui.tables.power_columns import FuseType, InVehicle, IsolatorKind, RunLength
from tui.tables.readings import READINGS
from tui.tables.routes import WAYS, StandsAt
from tui.tables.run_tree import tree_order
from tui.tables.studies import CURVES, DESIGNS, LEGS, RETURNS, SPOTS
from tui.tables.table_spec import Rows, TableSpec
from tui.tables.table_spec import columns_of as _columns
from tui.tables.table_spec import every_record as _all


class HeaderRow(Struct, frozen=True):
    """One field of the header as a row of a form."""

    id: str
    column: Column

    def subject(self, build: Build) -> Header:
        """What the field is of."""
        return build.header


def _runs(polarity: Polarity) -> Rows:
    def rows(build: Build, sheet: Sheet, part: str) -> list[Any]:
        found = tree_order(build, sheet, polarity)
        return [limb.run for limb in found]

    return rows


def _limb(build: Build, sheet: Sheet, record: Any) -> str:
    found = next(
        (limb for limb in tree_order(build, sheet, record.polarity) if limb.run.id == record.id),
        None,
    )
    return found.text if found else label(build, record.id)


class Limb(Column, frozen=True):
    """A run's label, drawn as a limb of the tree."""

    def shown(self, build: Build, sheet: Sheet, record: Any) -> str:
        """The limb."""
        return _limb(build, sheet, record)

    def opened(self, build: Build, sheet: Sheet, record: Any) -> str:
        """The label alone."""
        return str(record.name)


class LeadName(Column, frozen=True):
    """A lead's name: where it has none, what it is called by its ends."""

    def shown(self, build: Build, sheet: Sheet, record: Any) -> str:
        """What it is called."""
        return record.name or AUTO + label(build, record.id)

    def opened(self, build: Build, sheet: Sheet, record: Any) -> str:
        """The name that was entered."""
        return str(record.name)


HEADER_FIELDS = Header.__struct_fields__

_RUN_COLUMNS: tuple[Column, ...] = (
    Limb("runs", "name", "Run", 20),
    RunLength("runs", "length_m", "Length", 12),
    Column("runs", "gauge", "Gauge", 6),
    Fuse("runs", "fuse_a", "Fuse", 6, ("fused",)),
    Figure("runs", "·drop", "·Drop", 6, figure=shown_by(SCHEDULE, "drop")),
    Figure("runs", "·temp", "·Temp", 6, figure=shown_by(SCHEDULE, "warm")),
    Figure("runs", "·a", "·Full A", 7, figure=shown_by(SCHEDULE, "full")),
    Column("runs", "count", "Wires", 5),
    Column("runs", "slack_m", "Slack", 8),
    Column("runs", "loom", "Harness", 12),
    Column("runs", "bundle", "Bundle", 6),
    Column("runs", "cover", "Cover", 8),
    FuseType("runs", "fuse_family", "Fuse type", 23),
    Column("runs", "fuse_distance_m", "To fuse", 8),
    Column("runs", "breaks_a", "Breaks", 8),
    Column("runs", "resets", "Resets", 9),
    Hang("runs", "source", "From", 16),
    FarDevice("runs", "target", "To", 16),
    Column("runs", "zone", "Location", 12),
    Column("runs", "metal", "Metal", 12),
    Column("runs", "insulation", "Insulation", 10),
    InVehicle("runs", "existing", "Existing", 8),
    Column("runs", "far_fused", "2nd fuse", 8),
    Column("runs", "far_fuse_distance_m", "To 2nd fuse", 11),
    Column("runs", "near_end", "At From", 13),
    Column("runs", "far_end", "At To", 13),
    Column("runs", "colour", "Color", 10),
    Figure("runs", "·ampacity", "·Ampacity", 9, figure=shown_by(SCHEDULE, "holds")),
)

_FUSE_FIELDS = (
    *("fuse_family", "fuse_distance_m", "far_fused", "far_fuse_distance_m"),
    *("breaks_a", "resets"),
)

_GROUND_RUN_COLUMNS = tuple(c for c in _RUN_COLUMNS if c.field not in _FUSE_FIELDS)

AT_FIRST = 6
"""So many columns of a table are compared at a glance; enter on a name shows all of its fields."""

_NOT_SHOWN = {"runs": ("id", "polarity", "fused")}
"""Fields without a column of their own; ids never."""


_SPECIAL: dict[tuple[str, str], type[Column]] = {
    (table, "place"): StandsAt
    for table in (*CARRIED_TABLES, "remotes")
    if (table, "place") in REFERENCES
} | {("runs", "fuse_family"): FuseType}
"""Columns that do more than to show and set their field."""


def _whole(spec: TableSpec) -> TableSpec:
    """The table with a column for every field of its record, so that none is out of reach."""
    if not spec.of_records:
        return spec
    shown = {field for column in spec.columns for field in (column.field, *column.covers)}
    left_out = _NOT_SHOWN.get(spec.table, ("id",))
    more = tuple(
        _SPECIAL.get((spec.table, name), Column)(
            spec.table, name, field.about.title, max(10, len(field.about.title))
        )
        for name, field in declared(TABLES[spec.table]).items()
        if name not in shown and name not in left_out
    )
    at_first = AT_FIRST if spec.table in CARRIED_TABLES else 0
    return replace(spec, columns=(*spec.columns, *more), at_first=at_first)


_SPECS: tuple[TableSpec, ...] = (
    TableSpec(
        "amplifiers",
        "amplifiers",
        "amplifiers",
        "Amplifiers",
        (
            Column("amplifiers", "name", "Amplifier", 18),
            Power(
                "amplifiers",
                "power",
                "Power W",
                12,
                ("channels", "channel_w", "sub_channels", "sub_channel_w"),
            ),
            Figure("amplifiers", "·full", "·Full power", 11, figure=shown_by(AMPLIFIERS, "full")),
            Figure("amplifiers", "·prog", "·Average", 8, figure=shown_by(AMPLIFIERS, "programme")),
            Figure("amplifiers", "·drop", "·Drop", 7, figure=shown_by(AMPLIFIERS, "drop")),
            Column("amplifiers", "amplifier_class", "Class", 5),
            Column("amplifiers", "efficiency", "Efficiency", 10),
            Column("amplifiers", "onboard_fuse_a", "On-board fuses", 14),
            Column("amplifiers", "largest_wire", "Max wire", 9),
            Column("amplifiers", "lowest_v", "Cutoff V", 8),
            Column("amplifiers", "idle_a", "No-signal A", 11),
            Column("amplifiers", "regulated", "Regulated supply", 16),
            Column("amplifiers", "zone", "Location", 14),
        ),
        _all("amplifiers"),
        first="power",
    ),
    TableSpec(
        "appliances",
        "amplifiers",
        "appliances",
        "Other loads: fridge, lights, fan, inverter",
        (
            Column("appliances", "name", "Load", 18),
            Column("appliances", "power_w", "Power", 12),
            Figure("appliances", "·full", "·Running", 10, figure=shown_by(APPLIANCES, "full")),
            Figure(
                "appliances", "·average", "·Average", 10, figure=shown_by(APPLIANCES, "average")
            ),
            Figure("appliances", "·drop", "·Drop", 7, figure=shown_by(APPLIANCES, "drop")),
            Column("appliances", "kind", "Kind", 16),
            Column("appliances", "works", "Works", 17),
            Column("appliances", "duty", "Runs for", 8),
            Column("appliances", "efficiency", "Efficiency", 10),
            Column("appliances", "onboard_fuse_a", "Own fuses", 9),
            Column("appliances", "largest_wire", "Max wire", 9),
            Column("appliances", "lowest_v", "Cutoff V", 8),
            Column("appliances", "idle_a", "Standby A", 9),
            Column("appliances", "rated_v", "Stated at", 9),
            Column("appliances", "capacitance_f", "Farads", 8),
            Column("appliances", "esr_ohm", "Series res.", 11),
            Column("appliances", "withstand_v", "Max V", 7),
            Column("appliances", "zone", "Location", 14),
        ),
        _all("appliances"),
        first="power_w",
    ),
    TableSpec(
        "remotes",
        "amplifiers",
        "remotes",
        "Remote outputs: what switches the devices on",
        (
            Column("remotes", "name", "Output", 18),
            Column("remotes", "kind", "Kind", 16),
            Figure("remotes", "·draw", "·They take", 10, figure=shown_by(REMOTES, "draw")),
            Column("remotes", "limit_a", "Gives at most", 13),
            Column("remotes", "relay", "Relay", 6),
            Figure("remotes", "·by", "·Switches", 36, figure=shown_by(REMOTES, "by")),
            Column("remotes", "feed", "Relay fed from", 16),
            Column("remotes", "feed_m", "Relay's feed", 12),
            Column("remotes", "coil_m", "To the relay", 12),
        ),
        _all("remotes"),
        first="limit_a",
        empty="ctrl+n adds what switches the devices on: head unit, ignition circuit, switch",
    ),
    TableSpec(
        "leads",
        "amplifiers",
        "leads",
        "Switching, signal and loudspeaker leads",
        (
            LeadName("leads", "name", "Lead", 18),
            Column("leads", "length_m", "Length", 8),
            Column("leads", "source", "From", 14),
            Column("leads", "target", "To", 14),
            Column("leads", "kind", "Kind", 11),
            Column("leads", "draws_a", "Draws", 8),
            Figure("leads", "·carries", "·Carries", 8, figure=shown_by(LEADS, "carries")),
            Column("leads", "count", "Cables", 6),
            Column("leads", "gauge", "Gauge", 6),
            Figure("leads", "·drop", "·Drop", 7, figure=shown_by(LEADS, "drop")),
        ),
        _all("leads"),
        first="target",
        empty="ctrl+n adds a lead; ctrl+p, Add: signal and loudspeaker cables, all of them",
    ),
    TableSpec(
        "batteries",
        "battery",
        "batteries",
        "Batteries (the first is the starter battery)",
        _columns(
            "batteries",
            ("name", "Battery", 18),
            ("capacity_ah", "Capacity", 9),
            ("chemistry", "Chemistry", 9),
            ("cranking_a", "CCA", 9),
            ("resistance_ohm", "Int. resistance", 15),
            ("stud", "Stud", 5),
            ("zone", "Location", 14),
        ),
        _all("batteries"),
    ),
    TableSpec(
        "alternators",
        "battery",
        "alternators",
        "Alternators",
        _columns(
            "alternators",
            ("name", "Alternator", 18),
            ("rated_a", "Output A", 10),
            ("hot", "Rated hot", 9),
            ("idle_a", "At idle", 8),
            ("regulated_v", "Charging V", 10),
            ("vehicle_load_a", "Vehicle load", 12),
        ),
        _all("alternators"),
    ),
    LEGS,
    TableSpec(
        "zones",
        "battery",
        "zones",
        "Locations, and how hot they get",
        _columns("zones", ("name", "Location", 18), ("ambient_c", "Temperature", 11)),
        _all("zones"),
    ),
    TableSpec(
        "header",
        "battery",
        "header",
        "Job and system",
        (
            Figure("header", "·field", "·Field", 18, figure=lambda b, s, row: row.column.title),
            Column("header", "value", "Value", 44),
        ),
        lambda build, sheet, part: [
            HeaderRow(name, HeaderColumn("header", name, declared(Header)[name].about.title, 44))
            for name in HEADER_FIELDS
        ],
    ),
    TableSpec(
        "runs",
        "distribution",
        "runs",
        "Distribution: runs from the battery outwards",
        _RUN_COLUMNS,
        _runs(Polarity.POSITIVE),
        first="length_m",
    ),
    TableSpec(
        "blocks",
        "distribution",
        "blocks",
        "Blocks, bus bars and isolators",
        (
            *_columns("blocks", ("name", "Block", 22), ("kind", "Kind", 12)),
            IsolatorKind("blocks", "isolates", "Isolates by", 13),
            *_columns(
                "blocks",
                ("rated_a", "Rated", 6),
                ("peak_a", "Peak", 6),
                ("bar_width_m", "Bar width", 9),
                ("bar_thick_m", "Bar thickness", 13),
                ("join_v", "Joins at", 8),
                ("part_v", "Parts at", 8),
                ("join_s", "Joins after", 11),
                ("part_s", "Parts after", 11),
                ("charge_v", "Charges to", 10),
                ("input_a", "Max input A", 11),
                ("efficiency", "Efficiency", 10),
                ("places", "Outputs", 7),
                ("largest_in", "Max wire in", 11),
                ("largest_out", "Max wire out", 12),
                ("fused", "Fused", 6),
                ("zone", "Location", 14),
            ),
        ),
        _all("blocks"),
    ),
    DESIGNS,
    SPOTS,
    CURVES,
    TableSpec(
        "grounds",
        "grounds",
        "grounds",
        "Ground points",
        (
            *_columns(
                "grounds",
                ("name", "Ground point", 22),
                ("surface", "Surface", 12),
                ("stud", "Stud", 5),
                ("resistance_ohm", "Body resistance", 15),
                ("signal", "Head unit here", 14),
                ("zone", "Location", 14),
            ),
            Figure("grounds", "·a", "·Full A", 8, figure=shown_by(GROUNDS, "full")),
            Figure("grounds", "·rise", "·Ground drop", 12, figure=shown_by(GROUNDS, "rise")),
        ),
        _all("grounds"),
    ),
    TableSpec(
        "ground_runs",
        "grounds",
        "runs",
        "Ground runs",
        _GROUND_RUN_COLUMNS,
        _runs(Polarity.GROUND),
        first="length_m",
    ),
    RETURNS,
    *FABRICATED,
    READINGS,
    *WAYS,
)

EXTRAS = TableSpec(
    "extras",
    "pack",
    "extras",
    "Extra materials, beside what the plan asks for (ctrl+n: one, alt+q: a kit)",
    _columns(
        "extras",
        ("name", "Item", 28),
        ("quantity", "How much", 8),
        ("unit", "Unit", 6),
        ("group", "Group", 16),
        ("kit", "Kit", 24),
    ),
    _all("extras"),
    empty="none; ctrl+n adds one, alt+q all of a kit of the shop",
)

SPECS: tuple[TableSpec, ...] = (*(_whole(spec) for spec in _SPECS), EXTRAS)
"""Every table of the views, in the order in which they stand."""


def specs_of(view: str) -> list[TableSpec]:
    """The tables of one view."""
    return [spec for spec in SPECS if spec.view == view]


def place_of(build: Build, table: str, id: str, field: str) -> tuple[TableSpec, str, str] | None:
    """Where a field can be edited: table on screen, row id, column id."""
    if table == "header":
        spec = next(s for s in SPECS if s.table == "header")
        return spec, field, "value"
    for spec in SPECS:
        if spec.table != table:
            continue
        if table == "runs":
            run = next((r for r in build.runs if r.id == id), None)
            ground = run is not None and run.polarity is Polarity.GROUND
            if ground != (spec.id == "ground_runs"):
                continue
        column = spec.column_for(field) or spec.columns[0]
        return spec, id, column.id
    return None
