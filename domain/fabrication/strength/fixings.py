"""The screws that hold a part, against what they take: what gives way first, and how tight.

Limits of one screw and the sheet under its washer: the screw's proof load in tension and 0.577 of
it in shear, both together by the sum of squares; the sheet punched out round the washer, pressed
together by the shank (bearing) and torn out to its edge (Shigley, Mechanical Engineering Design,
bolted joints: bearing V/(d t), tear-out V/(2 e t); from memory); the thread stripped where the part
is tapped. Premises: strengths of the sheet at its temperature, screws of the softest grade sold,
no friction under the heads.
"""

from collections.abc import Iterable, Sequence
from math import hypot, pi, sqrt

from msgspec import Struct

from domain.build.choices import HoleKind
from domain.build.records import Fixing
from domain.fabrication.materials.inserts import flat_head, insert_for
from domain.fabrication.materials.sheet_materials import Material
from domain.fabrication.materials.shop_practice import screw_stack
from domain.fabrication.materials.stock import Strength
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.shape.panel_tree import Tree
from domain.fabrication.strength.behind import Behind, behind, pulled_through_n
from domain.fabrication.strength.plate_solution import ScrewPull
from domain.fabrication.strength.threads import (
    SCREW_GRADES,
    hole_shear_area_m2,
    limits_of,
    pull_out,
    screw_grade,
    stress_area_m2,
    tightening_torque_nm,
)
from domain.sheet import ScrewLoad

SHEAR_RATIO = 1 / sqrt(3)
"""Shear over tensile strength of a ductile metal, by distortion energy."""

PRELOAD_FRACTION = 0.75
"""Preload over proof load of a screw that is taken apart again. Shigley, from memory."""

NUT_FACTOR = 0.2
"""Torque coefficient of dry, plain screws. Shigley, table of torque factors, from memory."""

SOFT_PRESSURE_PA = 1000 * 6894.757
"""What a washer may press a plastic with: 1000 psi, FAA AC 43.13-1B par. 3-27 b on acrylic panels
(read); wood across its faces takes no more (common practice)."""

STRIP_FRACTION = 0.25
"""Preload over the load that strips a thread tapped into plastic, which creeps. Common practice."""


class Holds(Struct, frozen=True):
    """What a screw and the sheet under it stand [N]; ``tear_n`` without an edge near is infinite.

    ``through_n`` is the washer pulled through the sheet, or the thread stripped where it is tapped.
    """

    tension_n: float
    shear_n: float
    through_n: float
    bearing_n: float
    tear_n: float


FRICTION = 0.15
"""Of dry or slightly greasy metal and plastic, on the safe side. Common practice."""

RELAXED_FRACTION = 0.5
"""What is left of a preload on plastic or wood within days. Common practice."""


def head_radius_m(hole: PlacedHole) -> float:
    """Radius of the washer on a hole, or of a countersunk head [m]; three quarters of the hole if
    none is known.
    """
    head = flat_head(hole.thread) if hole.kind is HoleKind.COUNTERSUNK else None
    if head is not None:
        return head.head_m / 2
    stack = screw_stack(hole.thread)
    return max(stack.washer_od_m / 2 if stack else 0.0, hole.diameter_m * 0.75)


def holds_of(
    hole: PlacedHole, radius_m: float, thickness_m: float, edge_m: float, there: Strength
) -> Holds | None:
    """What one screw stands; ``None`` for a thread that no table has.

    ``radius_m`` is its washer's, ``edge_m`` from its middle to the nearest free edge of the sheet.
    """
    limits = limits_of(hole.thread)
    if limits is None:
        return None
    proof_pa = screw_grade(SCREW_GRADES["inch" if limits.inch else "metric"])[0]
    tension = proof_pa * stress_area_m2(limits)
    insert = insert_for(hole.kind, hole.thread)
    if hole.kind is HoleKind.TAPPED:
        through = pull_out(limits, thickness_m, there.shear_pa, hole.diameter_m).load_n
    elif insert is not None and insert.pull_n:
        through = insert.pull_n * there.fraction
    elif insert is not None:
        through = pulled_through_n(thickness_m, insert.flange_m, there.strength_pa)
    elif hole.kind is HoleKind.COUNTERSUNK:
        # punched out at the middle of its cone
        through = 2 * pi * (radius_m + limits.major_m / 2) / 2 * thickness_m * there.shear_pa
    else:
        through = 2 * pi * radius_m * thickness_m * there.shear_pa
    return Holds(
        tension,
        SHEAR_RATIO * tension,
        through,
        limits.major_m * thickness_m * there.strength_pa,
        2 * edge_m * thickness_m * there.shear_pa,
    )


def weakest(
    load: ScrewPull, holds: Holds, shock_ratio: float, back: Behind | None = None
) -> tuple[float | None, str]:
    """Margin of a screw under a part's times gravity, and what gives way first.

    ``None`` where nothing pulls at all. ``back`` is what the screw goes into, if anybody said; pull
    and shear there are added straight, as both work on the same few threads or fibres.
    """
    pull, shear = load.pull_n * shock_ratio, load.shear_n * shock_ratio
    used = {
        "the screw": hypot(pull / holds.tension_n, shear / holds.shear_n),
        "the sheet under its head": pull / holds.through_n if holds.through_n else float("inf"),
        "the sheet beside its shank": shear / holds.bearing_n if holds.bearing_n else float("inf"),
        "the sheet out to its edge": shear / holds.tear_n if holds.tear_n else float("inf"),
    }
    if back is not None:
        used[back.what] = pull / back.pull_n + shear / back.shear_n
    worst = max(used, key=lambda name: used[name])
    return (1 / used[worst] if used[worst] else None), worst


def screw_loads(
    tree: Tree,
    screws: Iterable[PlacedHole],
    radius_m: dict[str, float],
    pulls: Sequence[ScrewPull],
    there: Strength,
    shock_ratio: float,
    fixings: Iterable[Fixing] = (),
) -> tuple[ScrewLoad, ...]:
    """What each screw takes, and its margin; ``fixings`` say what those go into that name one."""
    by_id = {screw.id: screw for screw in screws}
    told = {fixing.id: fixing for fixing in fixings}
    found = []
    for pull in pulls:
        hole = by_id[pull.hole]
        holds = holds_of(
            hole, radius_m[hole.id], tree.part.thickness_m, free_edge_m(tree, hole), there
        )
        fixing = told.get(hole.fixing)
        back = behind(fixing, hole.thread) if fixing else None
        margin, what = weakest(pull, holds, shock_ratio, back) if holds else (None, "")
        torque = grip = None
        if back is not None and tree.sheet is not None:
            torque = torque_nm(
                hole, radius_m[hole.id], tree.part.thickness_m, tree.sheet, there, back
            )
            grip = grip_n(hole.thread, torque, tree.sheet)
        found.append(
            ScrewLoad(
                hole.id,
                pull.pull_n * shock_ratio,
                pull.shear_n * shock_ratio,
                margin,
                what,
                torque,
                grip,
            )
        )
    return tuple(found)


def free_edge_m(tree: Tree, hole: PlacedHole) -> float:
    """From the middle of a hole to the nearest edge of its panel that carries no bend [m]."""
    node = tree.nodes[hole.panel]
    panel = node.panel
    ways = {
        "left": hole.x_m,
        "right": panel.width_m - hole.x_m,
        "near": hole.y_m,
        "far": panel.length_m - hole.y_m,
    }
    bent = {edge.value for edge in node.joints} | ({"near"} if node.joint else set())
    free = [way for edge, way in ways.items() if edge not in bent]
    return max(0.0, min(free, default=float("inf")))


def torque_nm(
    hole: PlacedHole,
    radius_m: float,
    thickness_m: float,
    sheet: Material,
    there: Strength,
    back: Behind | None = None,
) -> float | None:
    """How tight a screw is drawn [N m]; ``None`` for a thread that no table has, or one that is
    driven by hand until it is seated, into wood or with a tapping screw into thin sheet.

    Dry, T = K d F. F is three quarters of the proof load, but no more than the washer may press on
    a plastic or wood, a quarter of what strips a thread tapped into it, and what an insert or what
    is behind takes.
    """
    limits = limits_of(hole.thread)
    if limits is None or (back is not None and back.torque_nm == 0):
        return None
    proof_pa = screw_grade(SCREW_GRADES["inch" if limits.inch else "metric"])[0]
    preload = PRELOAD_FRACTION * proof_pa * stress_area_m2(limits)
    if hole.kind is HoleKind.TAPPED:
        strips = hole_shear_area_m2(limits, thickness_m) * there.shear_pa
        share = PRELOAD_FRACTION if sheet.kind == "metal" else STRIP_FRACTION
        preload = min(preload, share * strips)
    elif sheet.kind != "metal":
        pressed = pi * (radius_m**2 - (hole.diameter_m / 2) ** 2)
        preload = min(preload, SOFT_PRESSURE_PA * pressed)
    insert = insert_for(hole.kind, hole.thread)
    caps = [each.torque_nm for each in (insert, back) if each is not None and each.torque_nm]
    return min([tightening_torque_nm(NUT_FACTOR, limits.major_m, preload), *caps])


def grip_n(thread: str, torque_nm: float | None, sheet: Material) -> float | None:
    """What friction under a screw's head holds along the sheet [N], after its preload has relaxed.

    F = mu T/(K d); ``None`` where the torque or the thread is not known.
    """
    limits = limits_of(thread)
    if torque_nm is None or limits is None:
        return None
    left = 1.0 if sheet.kind == "metal" else RELAXED_FRACTION
    return FRICTION * left * torque_nm / (NUT_FACTOR * limits.major_m)
