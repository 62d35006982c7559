"""A piece of music, read from its file and judged on a build."""

from __future__ import annotations

from hashlib import file_digest
from typing import TYPE_CHECKING

from msgspec import Struct

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

DIGITS = 12
"""So many hexadecimal digits tell one file from another."""

READING = 0.7
"""Share of the work that goes into reading."""

__all__ = ["JudgedMusic", "Stopped", "judged_music"]


class JudgedMusic(Struct, frozen=True):
    """What was found: the study, what the file is, and what bears on the judgement of it.

    ``digest`` tells the file among all others: the beginning of its SHA-256.
    """

    study: SongStudy
    about: str
    remarks: tuple[str, ...]
    digest: str

    @property
    def file(self) -> str:
        """What the file is and which, on one line."""
        return f"{self.about}, SHA-256 {self.digest}"


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
    digest = _digest(path)
    try:
        study = song_study(plan.solved, levels, split_hz, following)
    except Cancelled as error:
        raise Stopped from error
    return JudgedMusic(study, about, remarks, digest)


def _digest(path: Path) -> str:
    """The beginning of a file's SHA-256; ``TransferError`` where it cannot be read any more."""
    try:
        with path.open("rb") as file:
            return file_digest(file, "sha256").hexdigest()[:DIGITS]
    except OSError as error:
        raise TransferError(f"{path} cannot be read: {error.strerror}") from error
