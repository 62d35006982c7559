"""The build: everything the user entered, and nothing that follows from it.

Every record is frozen, in SI units, with the unit in the field's name (``length_m``,
``capacity_ah``). A field that the engine may choose is ``None`` while it is left to the
engine ("auto") and holds the user's value once pinned. The kinds of records stand in
``record_kinds``; their titles and descriptions are the one schema that forms, help, tables and the
JSON Schema are made from.
"""

from collections import Counter
from typing import ClassVar

from domain.build.choices import Polarity, UnitHabit
from domain.build.record_kinds.device_records import (
    Alternator,
    Amplifier,
    Appliance,
    Battery,
    Block,
    GroundPoint,
    Zone,
)
from domain.build.record_kinds.extra_records import Extra
from domain.build.record_kinds.header import Header
from domain.build.record_kinds.lead_records import Lead, RemoteOutput
from domain.build.record_kinds.part_records import (
    Fixing,
    Footprint,
    Hole,
    Mount,
    Panel,
    Part,
    StockSize,
    Stud,
)
from domain.build.record_kinds.route_records import RoutePlace, RouteSection
from domain.build.record_kinds.run_records import Run
from domain.build.record_kinds.study_records import CurvePoint, Leg, Reading, Spot
from domain.document.kept import kept
from domain.document.records import Document, Record, label

__all__ = [
    "CARRIED_TABLES",
    "DEVICE_TABLES",
    "ID_PREFIX",
    "REFERENCES",
    "TABLES",
    "Alternator",
    "Amplifier",
    "Appliance",
    "Battery",
    "Block",
    "Build",
    "CurvePoint",
    "Fixing",
    "Footprint",
    "GroundPoint",
    "Header",
    "Hole",
    "Leg",
    "Mount",
    "Panel",
    "Part",
    "Reading",
    "Run",
    "Spot",
    "StockSize",
    "Stud",
    "Zone",
    "table_of",
]

TABLES: dict[str, type[Record]] = {
    "zones": Zone,
    "places": RoutePlace,
    "sections": RouteSection,
    "batteries": Battery,
    "alternators": Alternator,
    "amplifiers": Amplifier,
    "appliances": Appliance,
    "blocks": Block,
    "grounds": GroundPoint,
    "runs": Run,
    "remotes": RemoteOutput,
    "leads": Lead,
    "parts": Part,
    "panels": Panel,
    "fixings": Fixing,
    "holes": Hole,
    "footprints": Footprint,
    "studs": Stud,
    "mounts": Mount,
    "curves": CurvePoint,
    "legs": Leg,
    "spots": Spot,
    "readings": Reading,
    "stock": StockSize,
    "extras": Extra,
}
"""Record tables of a build, in the order in which they may be read (references point back)."""

ID_PREFIX: dict[str, str] = {
    "zones": "z",
    "places": "j",
    "sections": "y",
    "batteries": "b",
    "alternators": "g",
    "amplifiers": "a",
    "appliances": "v",
    "blocks": "d",
    "grounds": "e",
    "runs": "r",
    "remotes": "t",
    "leads": "w",
    "parts": "p",
    "panels": "n",
    "fixings": "x",
    "holes": "h",
    "footprints": "f",
    "studs": "u",
    "mounts": "o",
    "curves": "c",
    "legs": "l",
    "spots": "s",
    "readings": "m",
    "stock": "k",
    "extras": "q",
}

DEVICE_TABLES = ("batteries", "alternators", "amplifiers", "appliances", "blocks", "grounds")

CARRIED_TABLES = (*DEVICE_TABLES, "runs")
"""What a custom part can carry: a device, or the fuse holder of a run."""

REFERENCES: dict[tuple[str, str], tuple[str, ...]] = {
    **{
        (table, "zone"): ("zones",)
        for table in (
            *("batteries", "amplifiers", "appliances", "blocks"),
            *("grounds", "runs", "parts", "sections"),
        )
    },
    **{(table, "place"): ("places",) for table in (*DEVICE_TABLES, "remotes")},
    ("sections", "from_place"): ("places",),
    ("sections", "to_place"): ("places",),
    ("runs", "via"): ("places",),
    ("runs", "source"): DEVICE_TABLES,
    ("runs", "target"): DEVICE_TABLES,
    ("remotes", "feed"): ("batteries", "blocks"),
    ("leads", "source"): ("remotes", "amplifiers", "appliances"),
    ("leads", "target"): ("amplifiers", "appliances", "blocks"),
    ("parts", "carries"): CARRIED_TABLES,
    ("panels", "part"): ("parts",),
    ("panels", "joins"): ("panels",),
    ("fixings", "part"): ("parts",),
    ("holes", "panel"): ("panels",),
    ("holes", "fixing"): ("fixings",),
    ("footprints", "device"): CARRIED_TABLES,
    ("studs", "footprint"): ("footprints",),
    ("mounts", "footprint"): ("footprints",),
    ("mounts", "panel"): ("panels",),
    ("spots", "run"): ("runs",),
    ("spots", "zone"): ("zones",),
    ("readings", "at"): (*DEVICE_TABLES, "runs"),
}
"""Which tables each reference field may point into: (table, field) -> tables."""


class Build(Document, frozen=True):
    """A whole build: a header and tuples of records, in the order the user keeps them."""

    TABLES: ClassVar = TABLES
    HEADER: ClassVar = Header
    ID_PREFIX: ClassVar = ID_PREFIX
    REFERENCES: ClassVar = REFERENCES
    MOST: ClassVar = {"places": 200, "sections": 400}
    NAMELESS: ClassVar = {
        Fixing: "fixing",
        Hole: "hole",
        Stud: "mounting hole",
        Mount: "placed device",
        StockSize: "sheet size",
        CurvePoint: "curve point",
        Reading: "reading",
    }

    header: Header = Header()
    zones: tuple[Zone, ...] = ()
    places: tuple[RoutePlace, ...] = ()
    sections: tuple[RouteSection, ...] = ()
    batteries: tuple[Battery, ...] = ()
    alternators: tuple[Alternator, ...] = ()
    amplifiers: tuple[Amplifier, ...] = ()
    appliances: tuple[Appliance, ...] = ()
    blocks: tuple[Block, ...] = ()
    grounds: tuple[GroundPoint, ...] = ()
    runs: tuple[Run, ...] = ()
    remotes: tuple[RemoteOutput, ...] = ()
    leads: tuple[Lead, ...] = ()
    parts: tuple[Part, ...] = ()
    panels: tuple[Panel, ...] = ()
    fixings: tuple[Fixing, ...] = ()
    holes: tuple[Hole, ...] = ()
    footprints: tuple[Footprint, ...] = ()
    studs: tuple[Stud, ...] = ()
    mounts: tuple[Mount, ...] = ()
    curves: tuple[CurvePoint, ...] = ()
    legs: tuple[Leg, ...] = ()
    spots: tuple[Spot, ...] = ()
    readings: tuple[Reading, ...] = ()
    stock: tuple[StockSize, ...] = ()
    extras: tuple[Extra, ...] = ()

    def habit(self) -> UnitHabit:
        """The units of its header."""
        return self.header.units

    def name_of(self, record: Record) -> str:
        """A run without a name is the feed or the ground of a device, else from where to where."""
        if isinstance(record, Run) and not record.name:
            return _ends(self, record)
        if isinstance(record, Lead) and not record.name:
            return _of_lead(self, record)
        if isinstance(record, RouteSection) and not record.name and record.from_place:
            return f"{label(self, record.from_place)} to {label(self, record.to_place)}"
        return super().name_of(record)


def table_of(id: str) -> str:
    """The table that an id belongs to, from its prefix; ``KeyError`` if none does."""
    letters = id.rstrip("0123456789")
    for table, prefix in ID_PREFIX.items():
        if letters == prefix:
            return table
    raise KeyError(id)


def _ends(build: Build, run: Run) -> str:
    """A run without a name: the feed or the ground of a device, else from where to where."""
    positive = run.polarity is Polarity.POSITIVE
    device = run.target if positive else run.source
    if device and _nameless(build.runs)[run.polarity, device] == 1:
        return f"{label(build, device)} {'feed' if positive else 'ground'}"
    return f"{label(build, run.source)} to {label(build, run.target)}"


@kept(16)
def _nameless(runs: tuple[Run, ...]) -> Counter[tuple[Polarity, str]]:
    """How many runs without a name feed each device, or bring its current back."""
    return Counter(
        (run.polarity, run.target if run.polarity is Polarity.POSITIVE else run.source)
        for run in runs
        if not run.name
    )


def _of_lead(build: Build, lead: Lead) -> str:
    """A lead without a name: what it carries, and to whom, or from whom where it ends nowhere."""
    if lead.target:
        return f"{label(build, lead.target)} {lead.kind.value}"
    return f"{label(build, lead.source) if lead.source else 'head unit'} {lead.kind.value}"
