"""What holds a part: that something does, that it cannot turn, and that each screw is enough."""

from functools import partial

from domain.build.records import Build
from domain.fabrication.part_layout import Report
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.shape.panel_tree import PartRecords, Tree
from domain.fabrication.strength.folded_plates import MOST_PLATES
from domain.fabrication.strength.payload import (
    Burden,
    burdens_of,
    fixings_of,
    screwed_mounts,
)
from domain.fabrication.strength.screws import SAFE_MARGIN
from domain.fabrication.strength.vibration import GRAVITY_M_S2
from domain.findings import Level
from domain.sheet import StrengthResult
from domain.units.parse import format_quantity


def check_fixings(
    build: Build,
    records: PartRecords,
    tree: Tree,
    placed: list[PlacedHole],
    result: StrengthResult | None,
    report: Report,
) -> None:
    """The screws of the part itself, and whether each device on it has some."""
    burdens = burdens_of(build, records)
    if not burdens:
        return
    part = records.part
    name = part.name or part.id
    screws = fixings_of(records, tree, placed, [burden.panel for burden in burdens])[1]
    root = tree.nodes[tree.root].panel
    if not screws:
        report.add(
            Level.STOP,
            "part-held-by-nothing",
            f"{name} is held by nothing",
            f"it carries {sum(b.mass_kg for b in burdens):.3g} kg, and "
            f"{root.name or root.id} has no screw hole",
            f"drill {root.name or root.id} for screws: three or more, not in one line",
            "common practice",
            ("panels", root.id, "name"),
        )
    elif len(screws) == 1:
        _turns(records, screws[0], burdens_of(build, records), report)
    elif result is not None and len(tree.nodes) == 1 and result.clamped:
        report.add(
            Level.NOTE,
            "part-tips",
            f"{name} is kept from tipping by its washers alone",
            f"its {len(screws)} screws lie in one line",
            "put a third screw aside of them, or bend a flange that bears on something",
            "statics",
            ("panels", root.id, "name"),
        )
    for mount, footprint, count in screwed_mounts(build, records):
        if count > 1:
            continue
        called = footprint.name or footprint.id
        if not report.full("device-not-screwed", Level.FIX):
            report.add(
                Level.FIX,
                "device-not-screwed" if count == 0 else "device-on-one-screw",
                f"{name}: {called} is held by {'no screw' if count == 0 else 'one screw'}",
                f"its footprint has {'no' if count == 0 else 'one'} fixing point: "
                + ("nothing keeps it on" if count == 0 else "it can turn"),
                f"measure where {called} takes screws, and enter them",
                "common practice",
                ("mounts", mount.id, "footprint"),
            )
    if result is None and screws and tree.sheet is not None:
        report.add(
            Level.FIX,
            "strength-not-worked-out",
            f"{name}: whether it holds is not worked out",
            f"it has {len(tree.nodes)} panels, up to {MOST_PLATES} are looked at",
            "make it of more parts, or have it tried under its load",
            "count",
            ("parts", part.id, "name"),
        )
    if result is not None:
        _each(build, records, screws, result, report)


def _turns(records: PartRecords, screw: PlacedHole, burdens: list[Burden], report: Report) -> None:
    part = records.part
    on = [b for b in burdens if b.panel == screw.panel]
    arm = max((abs(b.x_m - screw.x_m) + abs(b.y_m - screw.y_m) for b in on), default=None)
    mass = sum(burden.mass_kg for burden in burdens)
    force = mass * part.shock_ratio * GRAVITY_M_S2
    why = f"{force:.3g} N at {part.shock_ratio:g} g turn it about hole {screw.id}"
    if arm:
        why += f" with up to {force * arm:.2g} N m"
    report.add(
        Level.FIX,
        "part-on-one-screw",
        f"{part.name or part.id} hangs on one screw and can turn",
        f"{why}; only friction under its washer is against it, and nobody knows its preload",
        "put in a second screw, or a pin",
        "statics",
        ("holes", screw.id, "panel"),
    )


def _each(
    build: Build,
    records: PartRecords,
    screws: list[PlacedHole],
    result: StrengthResult,
    report: Report,
) -> None:
    part = records.part
    length = partial(format_quantity, "small_length", units=build.header.units)
    threads = {screw.id: screw.thread for screw in screws}
    for screw in result.screws:
        if screw.margin is None or screw.margin >= SAFE_MARGIN:
            continue
        level = Level.STOP if screw.margin < 1 else Level.FIX
        if report.full("fixing-weak", level):
            continue
        report.add(
            level,
            "fixing-weak",
            f"{part.name or part.id}: the {threads.get(screw.id, '')} screw in hole {screw.id} is "
            + ("torn off" if screw.margin < 1 else "hardly enough"),
            f"{screw.pull_n:.3g} N pull it off and {screw.shear_n:.3g} N along the sheet at "
            f"{part.shock_ratio:g} g; {screw.weakest} stands {screw.margin:.2g} times that, "
            f"{SAFE_MARGIN:g} wanted, in {length(part.thickness_m)} sheet",
            "use more or larger screws further apart, or a larger washer",
            "plates and washers; bolted joints after a machine design text",
            ("holes", screw.id, "thread"),
        )
