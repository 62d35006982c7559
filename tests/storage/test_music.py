"""Files of music as people have them, judged on a build: a result or one sentence, nothing lost."""

import tracemalloc
import wave
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from demo_db.load import demo_builds
from domain.evaluate import make_plan
from storage.errors import TransferError
from storage.music import Stopped, judged_music

ESTATE = make_plan(dict(demo_builds())["estate_car"])
RATE = 8000


def drum(seconds: float = 6.0, rate: int = RATE) -> Any:
    """A drum of 60 Hz at 2 Hz."""
    at = np.arange(round(seconds * rate)) / rate
    return 0.6 * np.sin(2 * np.pi * 60 * at) * np.exp(-(at % 0.5) / 0.1)


def written(path: Path, samples: Any, rate: int = RATE, subtype: str = "PCM_16") -> Path:
    soundfile.write(path, samples, rate, subtype=subtype)
    return path


def long_wav(path: Path, hours: float) -> Path:
    """Music of 8 bits, one second over and over; only what is written takes room on the disk."""
    second = np.round(128 + 100 * drum(1.0)).astype(np.uint8).tobytes()
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 1, RATE, 0, "NONE", ""))
        for _ in range(round(hours * 3600)):
            file.writeframesraw(second)
    return path


@pytest.mark.parametrize(
    ("name", "about"),
    [
        ("high", "192 kHz, 16 bit, mono"),
        ("eight", "8 kHz, 8 bit, mono"),
        ("clipped", "8 kHz, 16 bit, mono"),
        ("cut", "8 kHz, 16 bit, mono"),
        ("stereo", "8 kHz, 16 bit, stereo"),
    ],
)
def test_what_can_be_judged_is(tmp_path: Path, name: str, about: str) -> None:
    path = tmp_path / f"{name}.wav"
    if name == "high":
        written(path, drum(3.0, 192000), 192000)
    elif name == "eight":
        written(path, drum(), subtype="PCM_U8")
    elif name == "clipped":
        written(path, np.clip(4 * drum(), -1, 1))
    elif name == "cut":
        whole = written(tmp_path / "whole.wav", drum(12.0)).read_bytes()
        path.write_bytes(whole[: len(whole) // 2])
    else:
        written(path, np.stack([drum(), drum()], axis=1))
    content = path.read_bytes()
    found = judged_music(path, ESTATE)
    assert found.about.startswith(f"{name}.wav: 0:0")
    assert found.about.endswith(about)
    said = " ".join(found.remarks)
    for part, names in (("8 bits", "eight"), ("clipped", "clipped"), ("ends before", "cut")):
        assert (part in said) == (name == names)
    assert all(remark.count("\n") == 0 and remark.endswith(".") for remark in found.remarks)
    # the same drum in every file: what it averages is the file's alone
    if name not in ("clipped", "high"):
        plain = judged_music(written(tmp_path / "plain.wav", drum()), ESTATE)
        assert found.study.average == pytest.approx(plain.study.average, rel=0.02)
    assert path.read_bytes() == content


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("silent", "is silent: choose another piece"),
        ("text", "is no music that can be read: choose a WAV or FLAC file"),
        ("short", "is shorter than 1 s: choose a whole piece"),
        ("long", "is 10:00:00 long: choose a piece of up to 2 hours"),
    ],
)
def test_what_cannot_be_judged_is_refused_in_one_sentence(
    tmp_path: Path, name: str, why: str
) -> None:
    path = tmp_path / f"{name}.wav"
    if name == "silent":
        written(path, np.zeros(2 * RATE))
    elif name == "text":
        path.write_text("no music", encoding="utf-8")
    elif name == "short":
        written(path, drum(0.5))
    else:
        with wave.open(str(path), "wb") as file:
            file.setparams((1, 1, RATE, 0, "NONE", ""))
            file.writeframesraw(b"\x80" * RATE)
        head = bytearray(path.read_bytes()[:44])
        head[40:44] = (10 * 3600 * RATE).to_bytes(4, "little")
        with path.open("wb") as file:
            file.write(head)
            file.truncate(44 + 10 * 3600 * RATE)
    size = path.stat().st_size
    with pytest.raises(TransferError) as raised:
        judged_music(path, ESTATE)
    said = str(raised.value)
    assert why in said
    assert path.name in said
    assert "\n" not in said
    assert path.stat().st_size == size


def test_an_hour_of_music_needs_no_more_memory_than_its_slices(tmp_path: Path) -> None:
    """By count: a slice each 5 ms, 8 bytes each: 5.8 MB for one series of an hour, of which three
    bands and three amplifiers are kept and as many are made on the way. As whole numbers of 8
    bytes its samples would be 230 MB."""
    path = long_wav(tmp_path / "hour.wav", 1.0)
    told: list[float] = []

    def watch(share: float, doing: str) -> bool:
        told.append(share)
        return True

    judged_music(written(tmp_path / "first.wav", drum()), ESTATE)  # what is loaded once
    tracemalloc.start()
    found = judged_music(path, ESTATE, progress=watch)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert found.study.seconds == 3600
    assert peak < 70e6
    assert told == sorted(told)
    assert len(told) > 500


def test_it_stops_within_seconds_of_music(tmp_path: Path) -> None:
    path = long_wav(tmp_path / "long.wav", 0.1)
    seen: list[float] = []

    def watch(share: float, doing: str) -> bool:
        seen.append(share)
        return len(seen) < 3

    with pytest.raises(Stopped):
        judged_music(path, ESTATE, progress=watch)
    assert len(seen) == 3
    assert seen[-1] < 0.1
