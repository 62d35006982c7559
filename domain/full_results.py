"""All that follows from a build: its sheet, its drive profile, its readings, its kick drum."""

from collections.abc import Callable
from functools import lru_cache

from msgspec import Struct
from msgspec.structs import replace

from domain.electrical.drive import simulate
from domain.electrical.meter.diagnosis import Suspect, suspects, verdict
from domain.electrical.meter.readings import JudgedReading, PredictedReading, judged, predicted
from domain.electrical.transient.results import KickStudy
from domain.electrical.transient.study import kick_study
from domain.plan import Plan
from domain.sheet import DriveResult, Sheet

MOST_POINTS = 200
"""A document holds at most this many moments of the drive profile."""

Progress = Callable[[float], bool]


class Readings(Struct, frozen=True):
    """What a meter should show, what it showed, and which joints would explain the difference.

    ``verdict`` says it in a sentence, "" while nothing that counts is typed.
    """

    predicted: tuple[PredictedReading, ...]
    judged: tuple[JudgedReading, ...]
    suspects: tuple[Suspect, ...]
    verdict: str


class FullResults(Struct, frozen=True):
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


class _Same:
    """A plan by its identity: what follows from it is found again while it is the same one."""

    __slots__ = ("plan",)

    def __init__(self, plan: Plan) -> None:
        self.plan = plan

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.plan is other.plan

    def __hash__(self) -> int:
        return id(self.plan)


def kick_drum(plan: Plan) -> KickStudy | None:
    """What the kick drum does to a plan; ``None`` where no battery feeds an amplifier.

    It takes up to a second, so that it is no part of ``full_results``; the last ones are kept.
    """
    return _kick_drum(_Same(plan))


@lru_cache(maxsize=8)
def _kick_drum(same: _Same) -> KickStudy | None:
    return kick_study(same.plan.solved)


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
