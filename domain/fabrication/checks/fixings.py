"""What holds a part: that something does, that it cannot turn, and that each screw is enough."""

from functools import partial

from domain.build.choices import Into
from domain.build.records import Build, Fixing
from domain.fabrication.materials.sheet_materials import material
from domain.fabrication.materials.shop_practice import locked_by, screw_length_m
from domain.fabrication.part_layout import Report, Told
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.shape.panel_tree import PartRecords, Tree
from domain.fabrication.strength.behind import behind, behind_m, screw_length_needed_m
from domain.fabrication.strength.folded_plates import MOST_PLATES
from domain.fabrication.strength.payload import (
    Burden,
    burdens_of,
    fixings_of,
    missing,
    screwed_mounts,
    unweighed,
)
from domain.fabrication.strength.screws import SAFE_MARGIN
from domain.fabrication.strength.vibration import GRAVITY_M_S2
from domain.findings import Level
from domain.sheet import ScrewLoad, StrengthResult
from domain.units.parse import format_quantity
from domain.units.show import figures


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
    check_told(records, tree, placed, report)
    if not burdens and not missing(build, records) and not unweighed(build, records):
        return
    part, units = records.part, build.header.units
    name = part.name or part.id
    screws = fixings_of(records, tree, placed, [burden.panel for burden in burdens])[1]
    root = tree.nodes[tree.root].panel
    carried = sum(burden.mass_kg for burden in burdens)
    if screws and not records.fixings:
        report.add(
            Level.NOTE,
            "fixing-not-told",
            f"{name}: what do its {len(screws)} screws go into?",
            "what they hold in there is not looked at, only the sheet under their heads",
            "enter what it is screwed to, and how thick that is",
            "common practice",
            ("parts", part.id, "name"),
        )
    mass = format_quantity("mass", carried, units)
    if not screws:
        report.add(
            Level.STOP,
            "part-held-by-nothing",
            f"{name} is held by nothing",
            f"it carries {mass if carried else 'a device'}, and {root.name or root.id} has no "
            "screw hole",
            f"fix {root.name or root.id} with screws: three or more, not in one line",
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
                f"its hole pattern has {'no' if count == 0 else 'one'} fixing point: "
                + ("nothing keeps it on" if count == 0 else "it can turn"),
                f"measure where {called} takes screws, and enter them",
                "common practice",
                ("mounts", mount.id, "footprint"),
            )
    if result is None and burdens and screws and tree.sheet is not None:
        report.add(
            Level.FIX,
            "strength-not-worked-out",
            f"{name}: whether it holds is not worked out",
            f"it has {len(tree.nodes)} flanges, up to {MOST_PLATES} are looked at",
            "make it of more parts, or have it tried under its load",
            "count",
            ("parts", part.id, "name"),
        )
    if result is not None:
        _each(build, records, screws, result, report)
        _slips(records, screws, result, report)


def check_told(records: PartRecords, tree: Tree, placed: list[PlacedHole], report: Report) -> None:
    """Whether each fixing says what it goes into, has holes, a thread, and a sheet that it fits."""
    part = records.part
    name = part.name or part.id
    for fixing in records.fixings:
        holes = [hole for hole in placed if hole.fixing == fixing.id]
        if not holes:
            report.add(
                Level.FIX,
                "fixing-without-holes",
                f"{name}: no hole for the screws of fixing {fixing.id}",
                "a fixing holds by the holes that name it, and none does",
                "choose it in the holes that its screws go through, or remove it",
                "common practice",
                ("fixings", fixing.id, "part"),
            )
        elif fixing.into is Into.UNKNOWN:
            report.add(
                Level.NOTE,
                "fixing-not-told",
                f"{name}: what do the screws of fixing {fixing.id} go into?",
                "what they hold in there is not looked at, only the sheet under their heads",
                "choose what they go into, and enter how thick that is",
                "common practice",
                ("fixings", fixing.id, "into"),
            )
        elif any(behind(fixing, hole.thread) is None for hole in holes):
            hole = next(hole for hole in holes if behind(fixing, hole.thread) is None)
            report.add(
                Level.FIX,
                "thread-unknown",
                f"{name}: what {hole.thread or 'a screw without a size'} holds in "
                f"{fixing.into.value} is not known",
                "no table has it",
                "enter a thread, as M6 or 10-24",
                "thread and insert tables",
                ("fixings", fixing.id, "thread"),
            )
        _too_short(records, tree, fixing, holes, report)


def _too_short(
    records: PartRecords, tree: Tree, fixing: Fixing, holes: list[PlacedHole], report: Report
) -> None:
    part = records.part
    if fixing.screw_m is None or not holes:
        return
    least = screw_length_needed_m(fixing, holes[0].thread, part.thickness_m)
    if least is None or fixing.screw_m >= least - 1e-6:
        return
    usual = "" if fixing.behind_m else ", which nobody measured"
    report.add(
        Level.FIX,
        "fixing-screw-short",
        f"{part.name or part.id}: the screws of fixing {fixing.id} are too short",
        f"{report.show(fixing.screw_m)} long; washer, part and {report.show(behind_m(fixing))} of "
        f"{fixing.into.value}{usual} take {report.show(least)}",
        f"take a screw of {report.show(screw_length_m(holes[0].thread, least) or least)}",
        "common practice, stack of standard parts",
        ("fixings", fixing.id, "screw_m"),
    )


def _slips(
    records: PartRecords,
    screws: list[PlacedHole],
    result: StrengthResult,
    report: Report,
) -> None:
    """Screws that shaking drags along the sheet, which then undo themselves, if nothing locks them.

    What moves to and fro across a screw turns it out (Junker, ASTM F606 and DIN 65151 tests); one
    that friction holds does not move. 3 sigma of the shaking counts.
    """
    part, sheet = records.part, material(records.part.material)
    told = {fixing.id: fixing for fixing in records.fixings}
    by_id = {screw.id: screw for screw in screws}
    for load in result.screws:
        fixing = told.get(by_id[load.id].fixing) if load.id in by_id else None
        if fixing is None or load.grip_n is None or not part.shock_ratio:
            continue
        along = load.shear_n / part.shock_ratio * 3 * result.response_ratio
        if along <= load.grip_n or locked_by(sheet, by_id[load.id].kind, fixing.into):
            continue
        if not report.full("fixing-slips", Level.NOTE):
            report.add(
                Level.NOTE,
                "fixing-slips",
                f"{part.name or part.id}: the screw in hole {load.id} works loose",
                f"shaking drags it with {figures(along)} N along the sheet, its friction holds "
                f"{figures(load.grip_n)} N, and nothing locks its thread there",
                "put a nut with a nylon ring behind, or more screws, or a pin that takes the "
                "shaking",
                "friction of a relaxed preload; loosening across the screw as Junker found it",
                ("fixings", fixing.id, "into"),
            )


def _turns(records: PartRecords, screw: PlacedHole, burdens: list[Burden], report: Report) -> None:
    part = records.part
    on = [b for b in burdens if b.panel == screw.panel]
    arm = max((abs(b.x_m - screw.x_m) + abs(b.y_m - screw.y_m) for b in on), default=None)
    mass = sum(burden.mass_kg for burden in burdens)
    force = mass * part.shock_ratio * GRAVITY_M_S2
    why = f"{figures(force)} N at {part.shock_ratio:g} g turn it about hole {screw.id}"
    if arm:
        why += f" with up to {figures(force * arm, 2)} N m"
    report.add(
        Level.FIX,
        "part-on-one-screw",
        f"{part.name or part.id} is on one screw alone and can turn",
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
    told = {fixing.id: fixing for fixing in records.fixings}
    fixings = {screw.id: told[screw.fixing] for screw in screws if screw.fixing in told}

    def told_of(screw: ScrewLoad, margin: float) -> Told:
        return (
            f"{part.name or part.id}: the {threads.get(screw.id, '')} screw in hole {screw.id} is "
            + ("torn off" if margin < 1 else "hardly enough"),
            f"{figures(screw.pull_n)} N pull it off and {figures(screw.shear_n)} N along the sheet "
            f"at {part.shock_ratio:g} g; {screw.weakest} stands {figures(margin, 2)} times "
            f"that, {SAFE_MARGIN:g} wanted, in {length(part.thickness_m)} sheet"
            + _behind_words(fixings.get(screw.id), length),
            "use more or larger screws further apart, or a larger washer"
            + (", or go into something thicker" if screw.id in fixings else ""),
            "plates and washers; bolted joints after a machine design text",
            ("holes", screw.id, "thread"),
        )

    for screw in result.screws:
        if screw.margin is None or screw.margin >= SAFE_MARGIN:
            continue
        level = Level.STOP if screw.margin < 1 else Level.FIX
        report.worst(level, "fixing-weak", -screw.margin, partial(told_of, screw, screw.margin))


def _behind_words(fixing: Fixing | None, length: partial[str]) -> str:
    if fixing is None or fixing.into is Into.UNKNOWN:
        return ""
    thick = length(behind_m(fixing))
    taken = "" if fixing.behind_m else f"; nobody measured what is behind, {thick} is taken"
    return f", into {thick} {fixing.into.value}" if fixing.behind_m else taken
