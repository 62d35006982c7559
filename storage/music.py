"""A piece of music, read from its file and judged on a build."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from domain.electrical.music.bands import channel_sets
from domain.electrical.music.levels import Stopped, measured
from domain.electrical.music.song import SongStudy, song_study
from domain.electrical.transient.integrate import Cancelled
from domain.reference.planning import planned
from storage.errors import TransferError
from storage.sound import opened_sound

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from domain.plan import Plan

READING = 0.7
"""Share of the work that goes into reading."""

__all__ = ["JudgedMusic", "Stopped", "judged_music"]


@dataclass(frozen=True, slots=True)
class JudgedMusic:
    """What was found: the study, what the file is, and what bears on the judgement of it."""

    study: SongStudy
    about: str
    remarks: tuple[str, ...]


def judged_music(
    path: Path,
    plan: Plan,
    crossover_hz: float | None = None,
    progress: Callable[[float, str], bool] | None = None,
) -> JudgedMusic:
    """Read a file and judge it on a build, split at the usual crossover or at this one [Hz].

    ``TransferError`` with one sentence where it cannot be read or is silent, ``Stopped`` where
    ``progress`` returns false. The file and the build stay as they are.
    """
    split_hz = planned("music_crossover_hz") if crossover_hz is None else crossover_hz

    def reading(share: float) -> bool:
        return progress is None or progress(READING * share, "Reading")

    def following(share: float) -> bool:
        return progress is None or progress(READING + (1 - READING) * share, "Following it")

    with opened_sound(path) as sound:
        bands = {each.band for each in channel_sets(plan.build)}
        levels = measured(sound, bands, split_hz, reading)
        if levels is None:
            raise TransferError(f"{path} has no sound in it that can be read: copy it once more")
        if levels.whole.silent:
            raise TransferError(f"{path} is silent: choose another piece")
        about, remarks = sound.about(), tuple(sound.remarks())
    try:
        study = song_study(plan.solved, levels, split_hz, following)
    except Cancelled as error:
        raise Stopped from error
    return JudgedMusic(study, about, remarks)
