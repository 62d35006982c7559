"""Threads and drills: what to drill for a screw, and the nearest drill to a plain hole.

Sources: drill and tap chart, 75 % thread (DTC+BDW); ISO 2306 core holes (FCH); clearance holes
of normal fit after ASME B18.2.8 and ISO 273.
"""

import re
from bisect import bisect_left
from functools import cache, lru_cache

from msgspec import Struct

from domain.build.choices import UnitHabit
from domain.reference.csv_tables import load

METRIC_DRILL_STEP_MM = 0.1
LARGEST_METRIC_DRILL_MM = 13.0
"""Twist drills in a shop set: by tenths up to 13 mm. Common practice."""


class Drill(Struct, frozen=True):
    """A drill by its shop name, and what it cuts [m]."""

    name: str
    diameter_m: float


def tap_drill(thread: str) -> Drill | None:
    """The drill before tapping, at some 75 % thread; ``None`` for a thread not in the table."""
    return _tap_drills().get(thread_key(thread))


def clearance_drill(thread: str) -> Drill | None:
    """The drill for a screw to pass through with normal fit; ``None`` if the size is unknown.

    Takes a thread (``10-24``, ``M5``) or only a size (``#10``, ``1/4``).
    """
    return _clearance_drills().get(thread_size(thread))


@lru_cache(maxsize=1024)
def nearest_drill(diameter_m: float, units: UnitHabit) -> Drill:
    """The drill nearest to a plain hole, or a hole saw above the largest drill.

    Inch habit: number, letter and fraction drills up to 1 in (ASME B94.11M). Metric habit:
    tenths of a millimetre up to 13 mm.
    """
    diameter_mm = diameter_m * 1000
    if units is UnitHabit.METRIC:
        if diameter_mm > LARGEST_METRIC_DRILL_MM + METRIC_DRILL_STEP_MM / 2:
            return Drill(f"hole saw {diameter_mm:.4g} mm", diameter_m)
        steps = max(1, round(diameter_mm / METRIC_DRILL_STEP_MM))
        size_mm = round(steps * METRIC_DRILL_STEP_MM, 1)
        return Drill(f"{size_mm:g} mm", size_mm / 1000)
    drills = _drills()
    if diameter_mm > drills[-1][0] * 1.005:
        return Drill(f"hole saw {diameter_mm / 25.4:.4g} in", diameter_m)
    place = bisect_left(drills, (diameter_mm, ""))
    around = drills[max(0, place - 1) : place + 1]
    size_mm, name = min(around, key=lambda drill: abs(drill[0] - diameter_mm))
    return Drill(name, size_mm / 1000)


def thread_names() -> tuple[str, ...]:
    """The threads that have a tap drill, in table order."""
    return tuple(_tap_drills())


@lru_cache(maxsize=256)
def thread_key(text: str) -> str:
    """A thread as the table writes it: ``#10-24 UNC`` is 10-24, ``m5x0.8`` is M5."""
    text = text.strip().upper().removesuffix("UNC").removesuffix("UNF").strip()
    coarse = re.fullmatch(r"(M[0-9.]+)(?:\s*[X×]\s*([0-9.,]+))?", text)
    if coarse:
        pitch = coarse[2]
        pitches = _coarse_pitches()
        if pitch and pitches.get(coarse[1]) != pitch.replace(",", ".").rstrip("0").rstrip("."):
            return text
        return coarse[1]
    return re.sub(r"\s*-\s*", "-", text.removeprefix("#"))


def thread_size(text: str) -> str:
    """The size of a thread, as a clearance table names it: ``10-24`` is #10, ``M5`` is M5."""
    size = thread_key(text).split("-", maxsplit=1)[0].removesuffix("IN").removesuffix('"').strip()
    if size.startswith("M"):
        return re.split(r"\s*[X×]", size)[0]
    return f"#{size}" if size.isdigit() else size


def thread_major_m(thread: str) -> float | None:
    """Outside diameter of a thread [m]; ``None`` for a thread not in the table."""
    row = _rows_by_thread().get(thread_key(thread))
    return float(row["major_mm"]) / 1000 if row else None


def thread_pitch_m(thread: str) -> float | None:
    """Pitch of a thread [m]; ``None`` for a thread not in the table."""
    row = _rows_by_thread().get(thread_key(thread))
    return float(row["pitch_mm"]) / 1000 if row else None


@cache
def _rows_by_thread() -> dict[str, dict[str, str]]:
    return {row["thread"]: row for row in _thread_rows()}


@cache
def _thread_rows() -> tuple[dict[str, str], ...]:
    return load("threads", ("thread", "major_mm", "pitch_mm", "tap_drill", "tap_drill_mm"))


@cache
def _tap_drills() -> dict[str, Drill]:
    return {
        row["thread"]: Drill(row["tap_drill"], float(row["tap_drill_mm"]) / 1000)
        for row in _thread_rows()
    }


@cache
def _coarse_pitches() -> dict[str, str]:
    metric = (row for row in _thread_rows() if row["thread"].startswith("M"))
    return {row["thread"]: f"{float(row['pitch_mm']):g}" for row in metric}


@cache
def _clearance_drills() -> dict[str, Drill]:
    # Normal fit by ASME B18.2.8 for inch screws, medium by ISO 273 for metric ones.
    rows = load("clearance_holes", ("size", "drill", "diameter_mm"))
    return {row["size"]: Drill(row["drill"], float(row["diameter_mm"]) / 1000) for row in rows}


@cache
def _drills() -> list[tuple[float, str]]:
    """Every size once: a fraction goes before the letter or number drill of the same size."""
    rows = load("drills", ("drill", "kind", "diameter_mm"))
    found: dict[float, str] = {}
    for row in sorted(rows, key=lambda row: row["kind"] == "fraction"):
        found[float(row["diameter_mm"])] = row["drill"]
    return sorted(found.items())
