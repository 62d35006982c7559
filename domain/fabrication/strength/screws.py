"""What pulls on the screws of a mounted device, and whether they hold in the sheet.

The device's weight times ``shock_ratio`` pulls straight off the sheet, shared alike; or it pulls
along the sheet at half of the device's height and tips it over the edge of its foot, which each
screw resists by its distance from that edge (both common practice). The worse counts.
"""

from collections.abc import Sequence
from functools import partial

from msgspec import Struct

from domain.build.choices import HoleKind
from domain.build.records import Build, Footprint, Mount, Part, Stud
from domain.fabrication.materials.heat import soaked_c
from domain.fabrication.materials.sheet_materials import Material, material
from domain.fabrication.materials.shop_practice import screw_stack
from domain.fabrication.materials.stock import Strength, strength_of
from domain.fabrication.shape.hole_placing import PlacedHole, placed_holes
from domain.fabrication.shape.panel_tree import PartRecords, records_by_part
from domain.fabrication.strength.payload import burdens_of, mass_of
from domain.fabrication.strength.threads import PullOut, pull_out, thread_limits
from domain.fabrication.strength.vibration import GRAVITY_M_S2
from domain.findings import Finding, Level
from domain.units.parse import format_quantity
from domain.units.show import figures

SAFE_MARGIN = 2.0
"""Pull-out load over pull, at least. Common practice."""

AMPLE_MARGIN = 4.0
"""With this margin a thread shallower than the rule of thumb is not worth a word."""

LEAST_LEVER_M = 0.001
"""Screws all on the edge that a device tips over hold it by their heads alone."""


class ScrewResult(Struct, frozen=True):
    """One tapped hole: what pulls on its screw [N], what it holds, and the margin.

    ``load_n`` is 0 and ``margin`` ``None`` where nothing is known to hang on it. ``rule_m``
    is the thread depth by rule of thumb [m], ``None`` for a sheet that is not tapped.
    """

    hole: str
    thread: str
    load_n: float
    holds: PullOut
    margin: float | None
    rule_m: float | None


def screw_pull_n(
    mass_kg: float, shock_ratio: float, footprint: Footprint, places: list[tuple[float, float]]
) -> list[float]:
    """Pull on each screw of a footprint [N], the worse of straight off and tipping four ways.

    ``places`` are the screws on the footprint, from its lower left corner [m].
    """
    if not places:
        return []
    force = mass_kg * shock_ratio * GRAVITY_M_S2
    pulls = [force / len(places)] * len(places)
    moment = force * footprint.height_m / 2
    for axis, size in ((0, footprint.length_m), (1, footprint.width_m)):
        at = [place[axis] for place in places]
        low, high = min(0.0, *at), max(size, *at)
        for arms in ([a - low for a in at], [high - a for a in at]):
            levers = [max(arm, LEAST_LEVER_M) for arm in arms]
            total = sum(lever**2 for lever in levers)
            pulls = [max(p, moment * lever / total) for p, lever in zip(pulls, levers, strict=True)]
    return pulls


def engagement_m(thickness_m: float, under_head_m: float, screw_m: float | None) -> float:
    """Length of thread in the sheet [m]: all of it, or what the screw reaches past what lies
    between its head and the sheet (``under_head_m``: foot and washer).
    """
    if screw_m is None:
        return thickness_m
    return min(thickness_m, max(0.0, screw_m - under_head_m))


def screw_strength(
    build: Build,
    part: Part,
    records: PartRecords | None = None,
    placed: Sequence[PlacedHole] | None = None,
) -> tuple[ScrewResult, ...]:
    """Every tapped hole of a part whose thread and material are known. Never raises."""
    records = records or records_by_part(build).get(part.id)
    sheet = material(part.material)
    if records is None or sheet is None:
        return ()
    there = _there(build, part, sheet)
    pulls = _pulls(build, part, records)
    found = []
    for hole in placed_holes(build, records) if placed is None else placed:
        limits = thread_limits(hole.thread) if hole.kind is HoleKind.TAPPED else None
        if limits is None:
            continue
        load, foot_m, screw_m = pulls.get(hole.id, (0.0, 0.0, None))
        stack = screw_stack(hole.thread)
        under_head_m = foot_m + (stack.washer_m if stack else 0.0)
        depth = engagement_m(part.thickness_m, under_head_m, screw_m)
        holds = pull_out(limits, depth, there.shear_pa, hole.diameter_m)
        ratio = there.engagement_ratio
        found.append(
            ScrewResult(
                hole=hole.id,
                thread=hole.thread,
                load_n=load,
                holds=holds,
                margin=holds.load_n / load if load else None,
                rule_m=None if ratio is None else ratio * limits.major_m,
            )
        )
    return tuple(found)


def screw_findings(
    build: Build, part: Part, results: tuple[ScrewResult, ...] | None = None
) -> list[Finding]:
    """What is wrong with the threads of a part; ``results`` if worked out already."""
    results = screw_strength(build, part) if results is None else results
    length = partial(format_quantity, "small_length", units=build.header.units)
    name = part.name or part.id
    found = []
    shallow: dict[str, ScrewResult] = {}
    for screw in results:
        table, id, field = _field(screw)
        if screw.rule_m is None:
            found.append(
                Finding(
                    Level.FIX,
                    "thread-in-soft-sheet",
                    f"{name}: {part.material} does not hold a tapped {screw.thread}",
                    "its thread crumbles or pulls out",
                    "use a through screw with a nut and washers, or a threaded insert",
                    "common practice",
                    table,
                    id,
                    field,
                )
            )
            continue
        if screw.margin is not None and screw.margin < SAFE_MARGIN:
            holds = screw.holds
            found.append(
                Finding(
                    Level.STOP if screw.margin < 1 else Level.FIX,
                    "screw-pulls-out",
                    f"{name}: a {screw.thread} screw does not hold the device safely",
                    f"{figures(screw.load_n)} N pulls at {part.shock_ratio:g} g; "
                    f"{length(holds.engagement_m)} of thread holds {figures(holds.load_n)} N "
                    f"({holds.weakest}): {figures(screw.margin, 2)} times, {SAFE_MARGIN:g} wanted",
                    "use a through screw with a nut, more or larger screws, or thicker sheet",
                    "FED-STD-H28/2B, sheet strength at the location's temperature",
                    table,
                    id,
                    field,
                )
            )
        elif _shallow(screw):
            shallow.setdefault(screw.thread, screw)
    for thread, screw in shallow.items():
        ratio = screw.holds.load_n
        found.append(
            Finding(
                Level.NOTE,
                "thread-shallow",
                f"{name}: little thread for {thread} in {part.material}",
                f"{length(screw.holds.engagement_m)} deep, the rule of thumb is "
                f"{length(screw.rule_m or 0.0)}; it pulls out at {figures(ratio)} N",
                "tighten by feel, or put a nut or threaded insert behind",
                "common practice; FED-STD-H28/2B",
                *_field(screw),
            )
        )
    return found


def _shallow(screw: ScrewResult) -> bool:
    """Whether there is too little thread for what hangs on it; half the rule where nothing does."""
    depth, rule = screw.holds.engagement_m, screw.rule_m or 0.0
    if screw.margin is None:
        return depth < rule / 2
    return depth < rule and screw.margin < AMPLE_MARGIN


def _field(screw: ScrewResult) -> tuple[str, str, str]:
    """The field of the hole or of the footprint's stud that the screw goes into."""
    stud = screw.hole.partition(".")[2]
    return ("studs", stud, "kind") if stud else ("holes", screw.hole, "kind")


def _there(build: Build, part: Part, sheet: Material) -> Strength:
    zone = next((zone for zone in build.zones if zone.id == part.zone), None)
    return strength_of(sheet, soaked_c(zone))


def _pulls(
    build: Build, part: Part, records: PartRecords
) -> dict[str, tuple[float, float, float | None]]:
    """For each hole that holds a device: pull [N], foot under the head and screw length [m]."""
    footprints = {footprint.id: footprint for footprint in build.footprints}
    mounts = [m for m in records.mounts if m.footprint in footprints]
    found: dict[str, tuple[float, float, float | None]] = {}
    for mount in mounts:
        footprint = footprints[mount.footprint]
        mass = mass_of(part, footprint, [footprints[m.footprint] for m in mounts])
        studs = [stud for stud in build.studs if stud.footprint == footprint.id]
        places = [(stud.x_m, stud.y_m) for stud in studs]
        pulls = screw_pull_n(mass, part.shock_ratio, footprint, places)
        for stud, pull in zip(studs, pulls, strict=True):
            found[_hole_id(mount, stud)] = (pull, footprint.foot_m, stud.screw_m)
    if not mounts:
        for burden in burdens_of(build, records):
            holes = [
                hole
                for hole in records.holes
                if hole.panel == burden.panel and hole.kind is HoleKind.TAPPED
            ]
            for hole in holes:
                force = burden.mass_kg * part.shock_ratio * GRAVITY_M_S2
                found[hole.id] = (force / len(holes), 0.0, None)
    return found


def _hole_id(mount: Mount, stud: Stud) -> str:
    return f"{mount.id}.{stud.id}"
