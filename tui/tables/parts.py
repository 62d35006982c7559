"""Tables of custom parts: parts, panels, holes, fixings, footprints with studs, and mounts."""

from typing import Any

from domain.build.records import Build, Fixing, Hole, Mount, Panel, Part
from domain.document.records import find
from domain.sheet import Sheet
from domain.topics.parts import PARTS as ALL_PARTS
from tui.tables.cell_figures import shown_by
from tui.tables.columns import Figure, OfJoint
from tui.tables.part_columns import Bore, DeviceSize, SheetMaterial
from tui.tables.table_spec import TableSpec, columns_of, every_record


def part_of(build: Build, id: str) -> str:
    """The part that a part, panel, fixing, hole or mount belongs to; empty for anything else."""
    record = find(build, id) if id else None
    if isinstance(record, Hole | Mount):
        record = find(build, record.panel) if record.panel else None
    if isinstance(record, Panel | Fixing):
        record = find(build, record.part) if record.part else None
    return record.id if isinstance(record, Part) else ""


def _panels(build: Build, sheet: Sheet, part: str) -> list[Any]:
    """Those of the part, and those of none, which would be seen nowhere else."""
    return [p for p in build.panels if not part or p.part in (part, "")]


def _fixings(build: Build, sheet: Sheet, part: str) -> list[Any]:
    return [fixing for fixing in build.fixings if not part or fixing.part in (part, "")]


def _on_panels(table: str) -> Any:
    def rows(build: Build, sheet: Sheet, part: str) -> list[Any]:
        shown = {"", *(panel.id for panel in _panels(build, sheet, part))}
        return [record for record in getattr(build, table) if record.panel in shown]

    return rows


PARTS = TableSpec(
    "parts",
    "parts",
    "parts",
    "Custom parts",
    (
        *columns_of("parts", ("name", "Part", 14)),
        SheetMaterial("parts", "material", "Material", 13),
        *columns_of("parts", ("thickness_m", "Thickness", 9)),
        Figure("parts", "·margin", "·Safety", 7, figure=shown_by(ALL_PARTS, "margin")),
        Figure("parts", "·sag", "·Deflection", 11, figure=shown_by(ALL_PARTS, "sag")),
        Figure("parts", "·mode", "·Nat. freq.", 11, figure=shown_by(ALL_PARTS, "mode")),
        *columns_of("parts", ("carries", "Carries", 14), ("load_kg", "Weight carried", 14)),
        Figure("parts", "·flat", "·Flat size", 19, figure=shown_by(ALL_PARTS, "flat")),
        Figure("parts", "·mass", "·Mass", 8, figure=shown_by(ALL_PARTS, "mass")),
        Figure("parts", "·area", "·Area", 11, figure=shown_by(ALL_PARTS, "area")),
        *columns_of(
            "parts",
            ("quantity", "Quantity", 8),
            ("both_hands", "L + R", 6),
            ("zone", "Location", 14),
            ("place", "Mounted to", 13),
            ("seat", "Backing", 12),
            ("shock_ratio", "Shock load, g", 13),
            ("corner_m", "Corners", 8),
            ("cutter_m", "Router bit", 10),
            ("edge_m", "Round-over", 10),
            ("box_length_m", "Space length", 12),
            ("box_width_m", "Space width", 11),
            ("box_height_m", "Space height", 12),
        ),
    ),
    every_record("parts"),
    empty="none yet, ctrl+n adds one of a usual shape",
)

PANELS = TableSpec(
    "panels",
    "parts",
    "panels",
    "Flanges",
    (
        *columns_of("panels", ("name", "Flange", 14), ("length_m", "Length", 9)),
        *columns_of("panels", ("width_m", "Width", 9), ("joins", "Bent from", 12)),
        OfJoint("panels", "bend_deg", "Bend", 6),
        OfJoint("panels", "up", "Bend up", 7),
        OfJoint("panels", "bend_radius_m", "Radius", 9),
        OfJoint("panels", "edge", "From edge", 9),
        OfJoint("panels", "offset_m", "Shifted", 8),
        OfJoint("panels", "score_m", "Score", 8),
        *columns_of("panels", ("part", "Part", 14)),
    ),
    _panels,
    first="length_m",
)

HOLES = TableSpec(
    "holes",
    "parts",
    "holes",
    "Holes",
    (
        *columns_of("holes", ("panel", "Flange", 14), ("x_m", "X", 9), ("y_m", "Y", 9)),
        Bore("holes", "diameter_m", "Diameter", 9),
        *columns_of(
            "holes",
            ("kind", "Kind", 9),
            ("thread", "Thread", 7),
            ("fixing", "Fixing", 10),
            ("shape", "Shape", 9),
            ("across_m", "Overall length", 14),
            ("turn_deg", "Rotated", 7),
        ),
    ),
    _on_panels("holes"),
    first="x_m",
)

FIXINGS = TableSpec(
    "fixings",
    "parts",
    "fixings",
    "Fixings: what the part is screwed to",
    columns_of(
        "fixings",
        ("into", "Goes into", 26),
        ("behind_m", "Behind", 9),
        ("thread", "Thread", 7),
        ("screw_m", "Screw length", 12),
        ("part", "Part", 14),
    ),
    _fixings,
    first="into",
    empty="none; alt+s screws the part on",
)

MOUNTS = TableSpec(
    "mounts",
    "parts",
    "mounts",
    "Placed devices: a hole pattern on a flange",
    columns_of(
        "mounts",
        ("footprint", "Hole pattern", 16),
        ("panel", "Flange", 14),
        ("x_m", "X", 9),
        ("y_m", "Y", 9),
        ("turn_deg", "Rotated", 7),
        ("mirrored", "Mirrored", 8),
    ),
    _on_panels("mounts"),
    first="x_m",
    empty="none; with a hole pattern and a flange, ctrl+n adds one",
)

FOOTPRINTS = TableSpec(
    "footprints",
    "parts",
    "footprints",
    "Hole patterns of devices (alt+a from the shop, alt+k to it)",
    (
        *columns_of(
            "footprints",
            ("name", "Hole pattern", 16),
            ("device", "Device", 14),
            ("mass_kg", "Mass", 8),
        ),
        DeviceSize("footprints", "length_m", "Length", 9),
        DeviceSize("footprints", "width_m", "Width", 9),
        DeviceSize("footprints", "height_m", "Height", 9),
        *columns_of("footprints", ("foot_m", "Foot thickness", 14)),
    ),
    every_record("footprints"),
    empty="the feet of a device; ctrl+n adds one, alt+a takes one from the shop",
)

STUDS = TableSpec(
    "studs",
    "parts",
    "studs",
    "Mounting holes of a hole pattern",
    columns_of(
        "studs",
        ("footprint", "Hole pattern", 16),
        ("x_m", "X", 9),
        ("y_m", "Y", 9),
        ("kind", "Kind", 9),
        ("thread", "Thread", 7),
        ("screw_m", "Screw length", 12),
    ),
    every_record("studs"),
    first="x_m",
    empty="none; with a hole pattern, ctrl+n adds one",
)

STOCK = TableSpec(
    "stock",
    "parts",
    "stock",
    "Sheet sizes in stock (none: as sold; ctrl+k: the sheets to cut)",
    (
        SheetMaterial("stock", "material", "Material", 14),
        *columns_of(
            "stock",
            ("thickness_m", "Thickness", 9),
            ("width_m", "Width", 9),
            ("length_m", "Length", 9),
        ),
    ),
    every_record("stock"),
    first="width_m",
    empty="none: the sizes that are sold; ctrl+n adds one",
)

FABRICATED = (PARTS, PANELS, HOLES, FIXINGS, MOUNTS, FOOTPRINTS, STUDS, STOCK)
"""The tables of the custom parts view, from top to bottom."""
