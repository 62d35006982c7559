"""A piece of music from a file, read block by block: WAV of every kind, FLAC, what else is known.

The file is only read. What cannot be read is refused in one sentence, what bears on the judgement
of it (an end that is missing, tops that are cut off) is told beside it.
"""

from __future__ import annotations

import os
from contextlib import contextmanager
from dataclasses import dataclass, field
from errno import EISDIR
from math import ceil, pi, sqrt
from pathlib import Path
from typing import TYPE_CHECKING, Any

from storage.errors import TransferError

if TYPE_CHECKING:
    from collections.abc import Iterator

    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float32]

LONGEST_S = 2 * 3600.0
"""No piece is longer [s]: an hour of music tells its average."""

LEAST_S = 1.0
"""Nor shorter [s]."""

MOST_CHANNELS = 8
LEAST_HZ, MOST_HZ = 4000, 400_000

DEEPEST_HZ = 20.0
"""A tone of this frequency at full scale has tops as flat as any music that is not cut off [Hz]."""

CLIPPED = 1e-4
"""Share of the samples in flat tops at full scale from which on a piece is said to be clipped."""

_UNKNOWN = 1 << 60
"""More samples than this stand for a length that is not told."""

_BITS = {"PCM_S8": 8, "PCM_U8": 8, "PCM_16": 16, "PCM_24": 24, "PCM_32": 32}


@dataclass
class SoundFile:
    """A piece of music that is open. ``frames`` is how many samples a channel has, as is stated."""

    name: str
    rate_hz: int
    channels: int
    frames: int
    bits: int | None
    """Bits of a sample where it is a whole number."""
    short: bool
    """Whether the file says that there is more of it than there is."""
    _file: Any
    read: int = field(default=0)
    """Samples of each channel that were read."""
    flat: int = field(default=0)
    """Samples that were found in flat tops at full scale."""

    def blocks(self, frames: int) -> Iterator[Samples]:
        """Blocks of so many samples, a column a channel, full scale 1; what is no number is 0."""
        import numpy as np

        while True:
            try:
                part: Samples = self._file.read(frames, dtype="float32", always_2d=True)
            except (RuntimeError, OSError):
                self.short = True
                return
            if not len(part):
                self.short = self.short or self.read < self.frames
                return
            if not np.isfinite(part).all():
                part = np.nan_to_num(part, nan=0.0, posinf=1.0, neginf=-1.0)
            self.read += len(part)
            self.flat += self._flat(part)
            yield part

    def _flat(self, part: Samples) -> int:
        """Samples in flat tops: longer at full scale than the deepest tone is."""
        import numpy as np

        digit = 2.0 ** (1 - min(self.bits or 24, 24))
        least = max(ceil(2 * sqrt(3 * digit) / (2 * pi * DEEPEST_HZ / self.rate_hz)) + 1, 3)
        found = 0
        for column in part.T:
            at = np.flatnonzero(np.abs(column) >= 1 - 1.5 * digit)
            if len(at) < least:
                continue
            ends = np.append(np.flatnonzero(np.diff(at) > 1), len(at) - 1)
            lengths = np.diff(ends, prepend=-1)
            found += int(lengths[lengths >= least].sum())
        return found

    @property
    def seconds(self) -> float:
        """How long it is, as is stated [s]."""
        return self.frames / self.rate_hz

    def about(self) -> str:
        """Name, length and kind, on one line."""
        kind = {1: "mono", 2: "stereo"}.get(self.channels, f"{self.channels} channels")
        bits = f"{self.bits} bit, " if self.bits else ""
        length = clock(self.read / self.rate_hz if self.read else self.seconds)
        return f"{self.name}: {length}, {self.rate_hz / 1000:g} kHz, {bits}{kind}"

    def remarks(self) -> list[str]:
        """What bears on the judgement, in sentences, once it was read."""
        said = []
        if self.short:
            there = clock(self.read / self.rate_hz)
            said.append(
                f"The file ends before its end, as if it had not been copied whole: its first "
                f"{there} were judged."
            )
        if self.flat > CLIPPED * self.read * self.channels:
            share = 100 * self.flat / (self.read * self.channels)
            said.append(
                f"It is clipped: {share:.2g} % of it lies in flat tops at full scale. It is "
                "judged as it is; its average is high."
            )
        if self.bits == 8:
            said.append("It has 8 bits only: good enough for its level, not for its quiet parts.")
        return said


def clock(seconds: float) -> str:
    """A length of time as on a player: 3:05, 1:02:03."""
    minutes, left = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{left:02}" if hours else f"{minutes}:{left:02}"


@contextmanager
def opened_sound(path: Path) -> Iterator[SoundFile]:
    """A piece of music, open for reading; ``TransferError`` where it is none that can be judged."""
    size = _size_of(path)
    if not size:
        raise TransferError(f"{path} is empty: choose a WAV or FLAC file")
    try:
        import soundfile
    except (ImportError, OSError) as error:
        raise TransferError(
            f"music cannot be read here, the library for it does not load: {error}"
        ) from error
    try:
        file = soundfile.SoundFile(str(path))
    except (RuntimeError, OSError, TypeError, ValueError) as error:
        raise TransferError(
            f"{path} is no music that can be read: choose a WAV or FLAC file"
        ) from error
    with file:
        found = SoundFile(
            path.name,
            file.samplerate,
            file.channels,
            file.frames,
            _BITS.get(file.subtype),
            file.format in ("WAV", "WAVEX", "RF64") and _cut_short(path, size),
            file,
        )
        _judge(path, found)
        yield found


def _size_of(path: Path) -> int:
    """Bytes of a file that may be read: a pipe or a device is refused, for it may never end."""
    try:
        if path.is_dir():
            raise TransferError(f"{path} is no file and cannot be read: {os.strerror(EISDIR)}")
        if path.exists() and not path.is_file():
            raise TransferError(f"{path} is no file: choose a WAV or FLAC file")
        with path.open("rb"):
            return path.stat().st_size
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise TransferError(f"{path} cannot be read: {reason}") from error


def _judge(path: Path, found: SoundFile) -> None:
    if not found.frames:
        raise TransferError(f"{path} has no sound in it: choose another file")
    if found.frames > _UNKNOWN:
        raise TransferError(f"{path} does not tell its length: save it anew as WAV or FLAC")
    if found.seconds > LONGEST_S:
        raise TransferError(
            f"{path} is {clock(found.seconds)} long: choose a piece of up to "
            f"{LONGEST_S / 3600:.0f} hours, a song or an album tells the average"
        )
    if found.seconds < LEAST_S:
        raise TransferError(f"{path} is shorter than {LEAST_S:.0f} s: choose a whole piece")
    if found.channels > MOST_CHANNELS:
        raise TransferError(f"{path} has {found.channels} channels: choose a piece in stereo")
    if not LEAST_HZ <= found.rate_hz <= MOST_HZ:
        raise TransferError(
            f"{path} has {found.rate_hz} samples in a second: choose one of {LEAST_HZ} to {MOST_HZ}"
        )


def _cut_short(path: Path, size: int) -> bool:
    """Whether a WAV's block of samples is stated to be longer than the file is."""
    with path.open("rb") as file:
        if file.read(4) not in (b"RIFF", b"RF64"):
            return False
        place, known = 12, 0
        while place + 8 <= size and known < 64:
            file.seek(place)
            name, length = file.read(4), int.from_bytes(file.read(4), "little")
            if name == b"data":
                return length < 0xFFFF_FFF0 and place + 8 + length > size
            place += 8 + length + length % 2
            known += 1
    return False
