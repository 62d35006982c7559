"""Files of music as they come: read, told in one sentence, or refused in one; nothing is lost."""

import os
import wave
from errno import EACCES
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from storage.errors import TransferError
from storage.sound import SoundFile, clock, opened_sound

RATE = 8000


def tone(seconds: float = 2.0, peak: float = 0.5, rate: int = RATE, hertz: float = 60.0) -> Any:
    return peak * np.sin(2 * np.pi * hertz * np.arange(round(seconds * rate)) / rate)


def written(path: Path, samples: Any, rate: int = RATE, subtype: str = "PCM_16") -> Path:
    soundfile.write(path, samples, rate, subtype=subtype)
    return path


def read(path: Path) -> tuple[SoundFile, Any]:
    with opened_sound(path) as sound:
        return sound, np.concatenate(list(sound.blocks(1000)))


def apart(one: Any, other: Any) -> float:
    """By how much two rows of samples differ at most; they are as long as each other."""
    assert one.shape == other.shape
    return float(np.abs(one - other).max())


def refused(path: Path) -> str:
    with pytest.raises(TransferError) as raised, opened_sound(path):
        pass
    said = str(raised.value)
    assert "\n" not in said
    assert path.name in said
    return said


@pytest.mark.parametrize("subtype", ["PCM_U8", "PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE"])
def test_every_kind_of_wav_is_read(tmp_path: Path, subtype: str) -> None:
    # second method: what was made, to a digit of the format
    made = tone()
    sound, samples = read(written(tmp_path / "a.wav", made, subtype=subtype))
    digit = 2.0**-7 if subtype == "PCM_U8" else 2.0**-15
    assert apart(samples[:, 0], made) <= 1.01 * digit
    assert (sound.read, sound.frames, sound.rate_hz, sound.channels) == (16000, 16000, RATE, 1)
    eight = [said for said in sound.remarks() if "8 bits" in said]
    assert bool(eight) == (subtype == "PCM_U8")


def test_flac_and_extensible_wav_are_read(tmp_path: Path) -> None:
    once = tone(2.0, rate=96000)
    made = np.stack([once, -once], axis=1)
    for name in ("a.flac", "b.wav"):
        path = tmp_path / name
        format = "WAVEX" if name == "b.wav" else "FLAC"
        soundfile.write(path, made, 96000, subtype="PCM_24", format=format)
        sound, samples = read(path)
        assert apart(samples, made) <= 1e-6
        assert sound.about() == f"{name}: 0:02, 96 kHz, 24 bit, stereo"
        assert sound.remarks() == []


def test_a_wav_of_the_standard_library_is_the_same(tmp_path: Path) -> None:
    # second method: Python's own wave module
    path = tmp_path / "a.wav"
    digits = (tone(peak=0.9) * 32767).astype("<i2")
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(digits.tobytes())
    assert apart(read(path)[1][:, 0], digits / 32768) <= 1e-7


def test_mono_and_192_khz_are_told(tmp_path: Path) -> None:
    sound, _ = read(written(tmp_path / "high.wav", tone(1.5, rate=192000), 192000))
    assert sound.about() == "high.wav: 0:02, 192 kHz, 16 bit, mono"


def test_a_file_that_is_cut_short_is_read_as_far_as_it_goes(tmp_path: Path) -> None:
    whole = written(tmp_path / "whole.wav", tone(10.0)).read_bytes()
    flac = written(tmp_path / "whole.flac", tone(10.0)).read_bytes()
    for name, content in (("a.wav", whole), ("b.flac", flac)):
        path = tmp_path / name
        path.write_bytes(content[: len(content) // 2])
        sound, samples = read(path)
        assert 2 * RATE < len(samples) < 6 * RATE
        (said,) = sound.remarks()
        assert said.startswith("The file ends before its end")
        assert f"its first {clock(len(samples) / RATE)}" in said


def test_clipped_music_is_said_to_be_and_a_full_tone_is_not(tmp_path: Path) -> None:
    clipped = np.clip(tone(peak=1.6, hertz=61.7), -1, 1)
    sound, _ = read(written(tmp_path / "clipped.wav", clipped))
    (said,) = sound.remarks()
    # closed form: a sine of 1.6 is above 1 for 1 - 2/pi asin(1/1.6) = 57 % of the time
    assert said.startswith("It is clipped: 57 %")
    over, _ = read(written(tmp_path / "over.wav", tone(peak=1.6), subtype="FLOAT"))
    assert any("clipped" in each for each in over.remarks())
    for hertz in (25.0, 40.0, 1000.0):
        for rate in (RATE, 44100):
            path = written(tmp_path / "full.wav", tone(2.0, 1.0, rate, hertz), rate)
            assert read(path)[0].remarks() == []


def test_what_is_no_number_is_silence(tmp_path: Path) -> None:
    made = tone()
    made[100:200] = np.nan
    _, samples = read(written(tmp_path / "a.wav", made, subtype="FLOAT"))
    assert np.isfinite(samples).all()
    assert not samples[100:200].any()


def test_what_is_no_music_is_refused(tmp_path: Path) -> None:
    text = tmp_path / "song.wav"
    text.write_text("this is no music\n" * 100, encoding="utf-8")
    assert "is no music that can be read" in refused(text)
    empty = tmp_path / "empty.wav"
    empty.touch()
    assert "is empty" in refused(empty)
    raw = tmp_path / "song.raw"
    raw.write_bytes(bytes(10000))
    assert "is no music" in refused(raw)
    header = tmp_path / "header.wav"
    header.write_bytes(written(tmp_path / "b.wav", tone()).read_bytes()[:44])
    assert "no sound in it" in refused(header)
    assert "No such file" in refused(tmp_path / "missing.wav")
    assert refused(tmp_path / "null\0.wav")


def test_a_folder_a_pipe_and_a_file_that_may_not_be_read_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "folder.wav"
    folder.mkdir()
    assert "is no file" in refused(folder)
    pipe = tmp_path / "pipe.wav"
    os.mkfifo(pipe)
    assert "is no file" in refused(pipe)
    kept = written(tmp_path / "kept.wav", tone())

    def forbidden(path: Path, *mode: str) -> None:  # for root may read everything
        raise PermissionError(EACCES, os.strerror(EACCES), str(path))

    monkeypatch.setattr(Path, "open", forbidden)
    assert refused(kept).endswith("kept.wav cannot be read: Permission denied")


def test_too_long_and_too_short_are_refused_by_their_header(tmp_path: Path) -> None:
    # ten hours, of which only the header takes room on the disk
    long = tmp_path / "long.wav"
    content = written(tmp_path / "a.wav", tone(1.0), subtype="PCM_U8").read_bytes()
    size = 10 * 3600 * RATE
    head = content[:4] + (size + 36).to_bytes(4, "little") + content[8:40]
    with long.open("wb") as file:
        file.write(head + size.to_bytes(4, "little"))
        file.truncate(44 + size)
    assert "is 10:00:00 long: choose a piece of up to 2 hours" in refused(long)
    assert "shorter than 1 s" in refused(written(tmp_path / "short.wav", tone(0.2)))
    many = written(tmp_path / "many.wav", np.zeros((9000, 12)))
    assert "12 channels" in refused(many)
    assert "1000 samples in a second" in refused(written(tmp_path / "slow.wav", tone(), 1000))
