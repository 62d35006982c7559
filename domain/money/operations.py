"""How often each operation of the table of times comes up in a build."""

from collections import Counter
from decimal import Decimal

from domain.build.records import Build
from domain.cable.pieces import WirePiece, all_pieces
from domain.materials.takeoff import is_extra
from domain.money.cents import exact
from domain.sheet import MaterialLine, Sheet

MAIN_FROM_MM2 = 13.0
"""Wire of this copper area [mm2] and up (6 AWG, 16 mm2) is a main cable. Common practice."""


def operation_counts(build: Build, sheet: Sheet) -> dict[str, Decimal]:
    """Operation -> how many of it (metres for routing). Runs already in the vehicle ask for none.

    Metres are the measured or assumed routes of every wire, without slack, to centimetres.
    """
    pieces = all_pieces(build, sheet.runs)
    new = [run for run in sheet.runs if not run.existing]
    used = {end for run in new for end in (run.source, run.target)}
    panels = Counter(panel.part for panel in build.panels)
    holes = _holes(build)
    counts = Counter[str]()
    if not new and not build.parts:
        return {}
    for name in ("prepare", "open", "prove", "paperwork"):
        counts[name] = 1
    counts["terminate"] = sum(_ends(piece) for piece in pieces)
    counts["measure"] = len(new)
    counts["grommet"] = _made(sheet.materials, "Grommets")
    counts["fuse"] = _made(sheet.materials, "Holders")
    counts["block"] = len(build.blocks)
    counts["amplifier"] = len(build.amplifiers)
    counts["appliance"] = len(build.appliances)
    counts["battery"] = max(0, len(build.batteries) - 1)
    counts["ground"] = sum(point.id in used for point in build.grounds)
    for part in sheet.parts:
        counts["part"] += 1
        counts["fit_part"] += part.quantity
        counts["panel"] += panels[part.id] * part.quantity
        counts["bend"] += part.bends * part.quantity
        counts["hole"] += holes[part.id] * part.quantity
    found = {name: Decimal(count) for name, count in counts.items() if count}
    for name, is_main in (("run_main", True), ("run_branch", False)):
        metres = sum(
            run.length_m * run.count for run in new if (run.area_mm2 >= MAIN_FROM_MM2) == is_main
        )
        if metres:
            found[name] = exact(round(metres, 2))
    return found


def _ends(piece: WirePiece) -> int:
    return sum(end.termination is not None for end in (piece.near, piece.far))


def _made(lines: tuple[MaterialLine, ...], group: str) -> int:
    """How many there are to fit; what is only on the bill is fitted by nobody."""
    return round(sum(line.needed for line in lines if line.group == group and not is_extra(line)))


def _holes(build: Build) -> Counter[str]:
    """Holes by part: those drawn, and those for the feet of devices mounted on it."""
    part_of = {panel.id: panel.part for panel in build.panels}
    feet = Counter(stud.footprint for stud in build.studs)
    found = Counter(part_of.get(hole.panel, "") for hole in build.holes)
    for mount in build.mounts:
        found[part_of.get(mount.panel, "")] += feet[mount.footprint]
    return found
