"""All that follows from a build: its sheet, its drive profile and its readings."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from domain.electrical.drive import simulate
from domain.electrical.meter.diagnosis import Suspect, suspects, verdict
from domain.electrical.meter.readings import JudgedReading, PredictedReading, judged, predicted
from domain.plan import Plan
from domain.sheet import DriveResult, Sheet

MOST_POINTS = 200
"""A document holds at most this many moments of the drive profile."""

Progress = Callable[[float], bool]


@dataclass(frozen=True, slots=True)
class Readings:
    """What a meter should show, what it showed, and which joints would explain the difference.

    ``verdict`` says it in a sentence, "" while nothing that counts is typed.
    """

    predicted: tuple[PredictedReading, ...]
    judged: tuple[JudgedReading, ...]
    suspects: tuple[Suspect, ...]
    verdict: str


@dataclass(frozen=True, slots=True)
class FullResults:
    """Every result of a build in SI units. ``drive`` is ``None`` where the build has no legs."""

    sheet: Sheet
    drive: DriveResult | None
    readings: Readings


def full_results(plan: Plan, progress: Progress | None = None) -> FullResults:
    """Drive profile and readings beside the sheet.

    ``progress`` as for ``domain.electrical.drive.simulate``.
    """
    return FullResults(plan.sheet, drive_profile(plan, progress), readings_of(plan))


def drive_profile(plan: Plan, progress: Progress | None = None) -> DriveResult | None:
    """The drive profile, simulated; ``None`` where the build has no legs."""
    return simulate(plan.solved.wired, progress) if plan.build.legs else None


def readings_of(plan: Plan) -> Readings:
    """The readings, predicted and judged."""
    build, sheet = plan.build, plan.sheet
    typed = judged(build, sheet)
    wrong = any(reading.ok is False for reading in typed)
    found = suspects(plan.solved.wired, typed) if wrong else ()
    return Readings(predicted(build, sheet), typed, found, verdict(build, typed, found))


def thinned(result: FullResults, most: int = MOST_POINTS) -> FullResults:
    """The same with at most ``most`` moments of the drive profile, evenly spread.

    The first and the last stay; the balance of charge is still that of all steps.
    """
    drive = result.drive
    if drive is None or len(drive.points) <= most:
        return result
    last = len(drive.points) - 1
    points = tuple(drive.points[i * last // (most - 1)] for i in range(most))
    return replace(result, drive=replace(drive, points=points))
