"""What a part carries is known: every device has a mass, and the part a zone to get warm in."""

from domain.build.records import Build
from domain.document.records import label
from domain.fabrication.materials.heat import soaked_c
from domain.fabrication.materials.sheet_materials import material
from domain.fabrication.part_layout import Report
from domain.fabrication.shape.panel_tree import PartRecords
from domain.fabrication.strength.payload import burdens_of, missing, unweighed
from domain.findings import Level
from domain.units.parse import format_quantity


def check_carried(build: Build, records: PartRecords, report: Report) -> None:
    """Masses that nobody entered, and a plastic that carries something in no zone."""
    part = records.part
    name = part.name or part.id
    bare = unweighed(build, records)
    for mount, footprint in bare:
        called = footprint.name or footprint.id
        if part.load_kg > 0:
            if report.full("mount-shares-load", Level.NOTE):
                continue
            share = part.load_kg / len(bare)
            report.add(
                Level.NOTE,
                "mount-shares-load",
                f"{name}: the mass of {called} is not entered",
                f"{format_quantity('mass', share, build.header.units)}, its share of the part's "
                "own load, is taken",
                f"weigh {called} and enter its mass; the part's load then counts besides it",
                "common practice",
                ("footprints", footprint.id, "mass_kg"),
            )
        elif not report.full("mount-without-mass", Level.FIX):
            report.add(
                Level.FIX,
                "mount-without-mass",
                f"{name}: how heavy is {called}?",
                f"mounted on {label(build, mount.panel)}, it counts as nothing: whether the part "
                "holds it is not known",
                f"weigh {called} and enter its mass",
                "common practice",
                ("footprints", footprint.id, "mass_kg"),
            )
    if missing(build, records):
        report.add(
            Level.FIX,
            "carried-not-entered",
            f"{name} carries a device whose mass and feet are not entered",
            "it counts as nothing: whether the part holds it is not known",
            "mount its hole pattern with its mass, or enter what it weighs as the part's load",
            "common practice",
            ("parts", part.id, "load_kg"),
        )
    sheet = material(part.material)
    carries = bool(bare) or missing(build, records) or bool(burdens_of(build, records))
    if carries and not part.zone and sheet and sheet.hdt_c is not None:
        warm = format_quantity("temperature", soaked_c(None), build.header.units)
        report.add(
            Level.FIX,
            "part-without-zone",
            f"{name}: how warm does it get where it is mounted?",
            f"{sheet.name} loses its strength with heat; {warm} is taken, as in a closed vehicle "
            "in the sun, and an engine bay gets warmer",
            "choose its location",
            "common practice",
            ("parts", part.id, "zone"),
        )
