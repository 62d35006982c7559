"""Strength of a screw thread tapped into sheet: which strips first, and at what load.

Sources: FED-STD-H28/2B (1991) Table II.B.1, formulas 1a, 2a, 4a, 14 and 16, as an open thread
library transcribes them (read). Limits of size at minimum material after the formulas of ASME B1.1
class 2A/2B and ISO 965-1 6g/6H (from memory, checked against that library's tables).
"""

from functools import cache
from itertools import pairwise
from math import pi, sqrt

from msgspec import Struct

from domain.fabrication.materials.drills import thread_key, thread_names, thread_size
from domain.reference.csv_tables import load

INCH_M = 0.0254

SCREW_GRADES = {"inch": "SAE 2", "metric": "4.6"}
"""The softest grade sold, taken where nothing else is known. Common practice."""


class ThreadLimits(Struct, frozen=True):
    """A thread's size at minimum material, class 2A/2B or 6g/6H [m].

    ``screw_major_m`` and ``screw_pitch_m`` are the screw's least major and pitch diameter,
    ``hole_pitch_m`` and ``hole_minor_m`` the largest of the tapped hole.
    """

    thread: str
    inch: bool
    major_m: float
    pitch_m: float
    screw_major_m: float
    screw_pitch_m: float
    hole_pitch_m: float
    hole_minor_m: float


class PullOut(Struct, frozen=True):
    """Loads at which a screw in a tapped hole fails [N].

    ``sheet_n`` the sheet's thread strips, ``screw_thread_n`` the screw's, ``screw_n`` the screw
    reaches its proof stress. ``full_m`` is the thread depth [m] at which the screw yields first.
    """

    engagement_m: float
    sheet_n: float
    screw_thread_n: float
    screw_n: float
    full_m: float

    @property
    def load_n(self) -> float:
        """The least of them [N]."""
        return min(self.sheet_n, self.screw_thread_n, self.screw_n)

    @property
    def weakest(self) -> str:
        """What gives way first: "sheet thread", "screw thread" or "screw"."""
        names = {
            "sheet thread": self.sheet_n,
            "screw thread": self.screw_thread_n,
            "screw": self.screw_n,
        }
        return min(names, key=lambda name: names[name])


def thread_limits(thread: str) -> ThreadLimits | None:
    """Limits of size of a thread, as ``10-24`` or ``M5``; ``None`` if it is not in the table."""
    return _limits().get(thread_key(thread))


def limits_of(thread: str) -> ThreadLimits | None:
    """Limits of a thread, or of the first in the table of a screw size that has no pitch (#10)."""
    found = thread_limits(thread)
    if found is None and thread:
        size = thread_size(thread)
        found = next(
            (thread_limits(name) for name in thread_names() if thread_size(name) == size), None
        )
    return found


def stress_area_m2(limits: ThreadLimits) -> float:
    """Tensile stress area [m2], basic sizes.

    Inch: pi (d2/2 - 3 H/16)^2, FED-STD-H28/2B formula 1a. Metric: pi/4 (d - 0.9382 P)^2, ISO 898-1.
    """
    if not limits.inch:
        return pi / 4 * (limits.major_m - 0.9382 * limits.pitch_m) ** 2
    height = sqrt(3) / 2 * limits.pitch_m
    return pi * ((limits.major_m - 0.75 * height) / 2 - 3 * height / 16) ** 2


def hole_shear_area_m2(limits: ThreadLimits, engagement_m: float) -> float:
    """Area that shears when the tapped hole's thread strips [m2]. FED-STD-H28/2B formula 2a.

    pi n Le dmin (1/(2n) + (dmin - D2max)/sqrt 3), with n threads to the length unit.
    """
    n, d = 1 / limits.pitch_m, limits.screw_major_m
    return pi * n * engagement_m * d * (1 / (2 * n) + (d - limits.hole_pitch_m) / sqrt(3))


def screw_shear_area_m2(
    limits: ThreadLimits, engagement_m: float, hole_m: float | None = None
) -> float:
    """Area that shears when the screw's thread strips [m2]. FED-STD-H28/2B formula 4a.

    pi n Le D1max (1/(2n) + (d2min - D1max)/sqrt 3). ``hole_m`` is the hole as drilled, if not the
    largest that the thread's class allows; the area is nought for a hole as wide as the thread.
    """
    n = 1 / limits.pitch_m
    d = limits.hole_minor_m if hole_m is None else hole_m
    width = 1 / (2 * n) + (limits.screw_pitch_m - d) / sqrt(3)
    return pi * n * engagement_m * d * max(0.0, width)


def pull_out(
    limits: ThreadLimits,
    engagement_m: float,
    sheet_shear_pa: float,
    hole_m: float | None = None,
    grade: str | None = None,
) -> PullOut:
    """Loads at which a screw tears out of a tapped hole.

    ``engagement_m`` is the length of full thread, ``sheet_shear_pa`` the sheet's shear strength,
    ``hole_m`` the tap drill. ``grade`` as in the table of screws, else the softest sold. The
    screw's thread shears at half of its tensile strength (the factor 2 of formula 14). Raises
    ``KeyError`` for an unknown grade and ``ValueError`` for a negative engagement.
    """
    if engagement_m < 0:
        raise ValueError(f"an engagement must not be negative, not {engagement_m} m")
    proof_pa, tensile_pa = screw_grade(grade or SCREW_GRADES["inch" if limits.inch else "metric"])
    screw_n = proof_pa * stress_area_m2(limits)
    per_m = hole_shear_area_m2(limits, 1.0) * sheet_shear_pa
    return PullOut(
        engagement_m=engagement_m,
        sheet_n=per_m * engagement_m,
        screw_thread_n=screw_shear_area_m2(limits, engagement_m, hole_m) * tensile_pa / 2,
        screw_n=screw_n,
        full_m=screw_n / per_m if per_m else float("inf"),
    )


def full_engagement_m(limits: ThreadLimits, screw_pa: float, sheet_pa: float) -> float:
    """Thread depth [m] at which screw and tapped hole fail alike, both as tensile strengths [Pa].

    Le = 2 As / ASn * UTS_screw / UTS_sheet, ASn to the unit length. FED-STD-H28/2B formula 16.
    """
    return 2 * stress_area_m2(limits) / hole_shear_area_m2(limits, 1.0) * screw_pa / sheet_pa


def combined_engagement_m(limits: ThreadLimits) -> float:
    """Thread depth [m] for one and the same material: Le = 4 As/(pi d2). Formula 13."""
    return 4 * stress_area_m2(limits) / (pi * (limits.major_m - 0.649519 * limits.pitch_m))


def tightening_torque_nm(nut_factor: float, diameter_m: float, preload_n: float) -> float:
    """Torque [N m] that makes a preload: T = K d F; K about 0.2 for dry steel."""
    return nut_factor * diameter_m * preload_n


def screw_grade(grade: str) -> tuple[float, float]:
    """Proof stress and tensile strength [Pa] of a grade: ISO 898-1 ("8.8") or SAE J429 ("SAE 5").

    ``KeyError`` for a grade that is not in the table.
    """
    return _grades()[grade]


@cache
def _grades() -> dict[str, tuple[float, float]]:
    rows = load("screw_grades", ("grade", "system", "proof_mpa", "tensile_mpa"))
    return {
        row["grade"]: (float(row["proof_mpa"]) * 1e6, float(row["tensile_mpa"]) * 1e6)
        for row in rows
    }


@cache
def _limits() -> dict[str, ThreadLimits]:
    rows = load("threads", ("thread", "major_mm", "pitch_mm", "tap_drill", "tap_drill_mm"))
    found = {}
    for row in rows:
        thread, major_mm = row["thread"], float(row["major_mm"])
        if thread.startswith("M"):
            found[thread] = _metric(thread, major_mm, float(row["pitch_mm"]))
        else:
            found[thread] = _inch(thread, round(major_mm / 25.4, 4), int(thread.split("-")[1]))
    return found


def _inch(thread: str, d: float, per_inch: int) -> ThreadLimits:
    """ASME B1.1, class 2A screw in a class 2B hole, in inches; engagement one diameter.

    Td2 = 0.0015 (d^(1/3) + sqrt Le + 10 P^(2/3)), allowance 0.3 Td2, hole 1.3 Td2, major diameter
    tolerance 0.06 P^(2/3).
    """
    p = 1 / per_inch
    tolerance = 0.0015 * d ** (1 / 3) + 0.0015 * sqrt(d) + 0.015 * p ** (2 / 3)
    allowance = 0.3 * tolerance
    pitch_diameter = d - 0.649519 * p
    large = 0.25 * p - 0.4 * p**2
    minor = large
    if d < 0.25:
        minor = 0.05 * p ** (2 / 3) + 0.03 * p / d - 0.002
        minor = min(max(minor, large), 0.394 * p)
    return ThreadLimits(
        thread=thread,
        inch=True,
        major_m=d * INCH_M,
        pitch_m=p * INCH_M,
        screw_major_m=(d - allowance - 0.06 * p ** (2 / 3)) * INCH_M,
        screw_pitch_m=(pitch_diameter - allowance - tolerance) * INCH_M,
        hole_pitch_m=(pitch_diameter + 1.3 * tolerance) * INCH_M,
        hole_minor_m=(d - 1.082532 * p + minor) * INCH_M,
    )


_RANGES_MM = (1.4, 2.8, 5.6, 11.2, 22.4)
"""ISO 965-1 takes the geometric mean of these ranges for the diameter."""


def _metric(thread: str, d: float, p: float) -> ThreadLimits:
    """ISO 965-1, 6g screw in a 6H hole, in millimetres (tolerances there in micrometres).

    es = 15 + 11 P, Td2 = 90 P^0.4 d^0.1, TD2 = 1.32 Td2, Td = 180 P^(2/3) - 3.15/sqrt P,
    TD1 = 433 P - 190 P^1.22 up to P 0.8, else 230 P^0.7.
    """
    low, high = next((a, b) for a, b in pairwise(_RANGES_MM) if a < d <= b)
    tolerance = 90 * p**0.4 * sqrt(low * high) ** 0.1
    allowance = 15 + 11 * p
    major = 180 * p ** (2 / 3) - 3.15 / sqrt(p)
    minor = 433 * p - 190 * p**1.22 if p <= 0.8 else 230 * p**0.7
    pitch_diameter = d - 0.649519 * p
    return ThreadLimits(
        thread=thread,
        inch=False,
        major_m=d / 1e3,
        pitch_m=p / 1e3,
        screw_major_m=(d - (allowance + major) / 1e3) / 1e3,
        screw_pitch_m=(pitch_diameter - (allowance + tolerance) / 1e3) / 1e3,
        hole_pitch_m=(pitch_diameter + 1.32 * tolerance / 1e3) / 1e3,
        hole_minor_m=(d - 1.082532 * p + minor / 1e3) / 1e3,
    )
