"""What stands behind a part and takes its screws: body panel, bracket, rivet nut, wood, insert.

Strengths of one screw [N] there, ultimate values over the partial factor of their standard, so
that a margin of 2 asks no less than the standard's own working load. Thin sheet by EN 1993-1-3
Table 8.2; wood by the NDS (withdrawal) and EN 1995-1-1 (along the sheet); threads tapped into
metal as ``threads`` has them; inserts by a table of typical figures. Premises: body panels of the
softest drawing steel, wood as light as spruce, screws of the softest grade sold, no corrosion.
"""

from math import sqrt

from msgspec import Struct

from domain.build.choices import HoleKind, Into
from domain.build.records import Fixing
from domain.fabrication.materials.drills import thread_major_m
from domain.fabrication.materials.inserts import insert_for
from domain.fabrication.materials.shop_practice import screw_stack
from domain.fabrication.strength.threads import ThreadLimits, limits_of, pull_out

BODY_STEEL_PA = 270e6
"""Least tensile strength of a body panel's steel: EN 10130, from memory."""

SHEET_FACTOR = 1.25
"""Partial factor of screws in thin sheet, EN 1993-1-3."""

WOOD_DENSITY_KG_M3 = 420.0
"""Wood that nobody has named: spruce and light plywood. Common practice."""

NDS_ALLOWABLE_PA = 2850 * 6894.757
"""Working withdrawal load of a wood screw over D L G^2: 2850 lb/in2 (NDS, read)."""

USUAL_BEHIND_M = {
    Into.PANEL_NUT: 0.0007,
    Into.PANEL: 0.0007,
    Into.RIVET_NUT: 0.0007,
    Into.BRACKET: 0.0015,
    Into.TAPPED: 0.003,
    Into.WOOD: 0.012,
    Into.INSERT: 0.012,
}
"""Thickness of what is behind where nobody measured it [m]: thin ones. Common practice."""


class Behind(Struct, frozen=True):
    """What one screw stands in what is behind [N], straight off and along it.

    ``what`` is what gives way, in words; ``torque_nm`` is the most that may be put on the screw
    there [N m], ``None`` where nothing behind limits it, and 0 where it is driven by hand until it
    is seated: no figure holds for it.
    """

    pull_n: float
    shear_n: float
    what: str
    torque_nm: float | None


def behind_m(fixing: Fixing) -> float:
    """Thickness of what the screws go into [m]: as measured, else as usual."""
    return fixing.behind_m or USUAL_BEHIND_M.get(fixing.into, 0.0)


def behind(fixing: Fixing, thread: str) -> Behind | None:
    """What a screw of this thread stands there; ``None`` if nobody said what it goes into, or no
    table has the thread.
    """
    limits, thick = limits_of(thread), behind_m(fixing)
    stack = screw_stack(thread)
    if fixing.into is Into.UNKNOWN or limits is None or stack is None:
        return None
    d, washer_m = limits.major_m, stack.washer_od_m
    if fixing.into in (Into.PANEL_NUT, Into.BRACKET):
        what = "the panel behind" if fixing.into is Into.PANEL_NUT else "the bracket behind"
        return Behind(pulled_through_n(thick, washer_m), pressed_n(thick, d), what, None)
    if fixing.into is Into.PANEL:
        return Behind(
            pulled_out_n(thick, d), pressed_n(thick, d), "the screw's hold in the panel", 0.0
        )
    if fixing.into is Into.TAPPED:
        held = pull_out(limits, thick, BODY_STEEL_PA / 2).load_n
        return Behind(held, pressed_n(thick, d), "the thread behind", _strips_nm(limits, thick))
    if fixing.into is Into.WOOD:
        return Behind(withdrawn_n(thick, d), in_wood_n(thick, d), "the wood behind", 0.0)
    kind = HoleKind.RIVET_NUT if fixing.into is Into.RIVET_NUT else HoleKind.INSERT
    insert = insert_for(kind, thread)
    if insert is None:
        return None
    if kind is HoleKind.RIVET_NUT:
        pull = pulled_through_n(thick, insert.flange_m)
        shear = pressed_n(thick, insert.hole_m)
        return Behind(pull, shear, "the rivet nut in its panel", insert.torque_nm)
    return Behind(insert.pull_n, insert.pull_n, "the insert behind", insert.torque_nm)


def pulled_through_n(
    thickness_m: float, washer_m: float, tensile_pa: float = BODY_STEEL_PA
) -> float:
    """A washer pulled through thin sheet [N], under repeated loads: 0.5 dw t fu / 1.25."""
    return 0.5 * washer_m * thickness_m * tensile_pa / SHEET_FACTOR


def pulled_out_n(thickness_m: float, d_m: float, tensile_pa: float = BODY_STEEL_PA) -> float:
    """A tapping screw pulled out of thin sheet [N]: 0.65 d t fu / 1.25. EN 1993-1-3 Table 8.2."""
    return 0.65 * d_m * thickness_m * tensile_pa / SHEET_FACTOR


def pressed_n(thickness_m: float, d_m: float, tensile_pa: float = BODY_STEEL_PA) -> float:
    """A screw that tilts and presses its hole in thin sheet [N]: a fu d t / 1.25.

    a = 3.2 sqrt(t/d), at most 2.1, EN 1993-1-3 Table 8.2 for sheets of one thickness.
    """
    factor = min(3.2 * sqrt(thickness_m / d_m), 2.1)
    return factor * tensile_pa * d_m * thickness_m / SHEET_FACTOR


def withdrawn_n(depth_m: float, d_m: float, density_kg_m3: float = WOOD_DENSITY_KG_M3) -> float:
    """A wood screw pulled out across the grain [N]: twice the NDS working load 2850 G^2 D L."""
    return 2 * NDS_ALLOWABLE_PA * (density_kg_m3 / 1000) ** 2 * d_m * depth_m


def in_wood_n(depth_m: float, d_m: float, density_kg_m3: float = WOOD_DENSITY_KG_M3) -> float:
    """A screw pressed sideways into wood under a thin plate [N]: 0.4 fh t d.

    fh = 0.082 (1 - 0.01 d) rho in a drilled hole, d in mm. EN 1995-1-1 (8.9a) and (8.16).
    """
    pressed_pa = 0.082e6 * (1 - 10 * d_m) * density_kg_m3
    return 0.4 * pressed_pa * depth_m * d_m


def _strips_nm(limits: ThreadLimits, depth_m: float) -> float:
    """Three quarters of the torque that strips a thread tapped into soft steel [N m]."""
    return 0.75 * 0.2 * limits.major_m * pull_out(limits, depth_m, BODY_STEEL_PA / 2).load_n


def screw_length_needed_m(fixing: Fixing, thread: str, part_m: float) -> float | None:
    """How long a screw must be under its head [m]: washer, part, what is behind, nut and a pitch.

    ``None`` where no table has the thread, or nobody said what it goes into.
    """
    stack, major = screw_stack(thread), thread_major_m(thread)
    limits = limits_of(thread)
    if stack is None or limits is None or fixing.into is Into.UNKNOWN:
        return None
    least = stack.washer_m + part_m + behind_m(fixing)
    if fixing.into in (Into.PANEL_NUT, Into.BRACKET):
        return least + stack.washer_m + stack.nut_m + limits.pitch_m
    if fixing.into in (Into.PANEL, Into.RIVET_NUT):
        return least + 2 * (major or limits.major_m)
    return least
