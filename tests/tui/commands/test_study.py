"""The commands that look closer: compare, workings, drive, readings; and recover."""

import csv
import io
import json
import os
import pty
import sqlite3
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from demo_db.load import demo_builds
from domain.build import kits
from domain.build.edits import Batch, SetField, apply
from domain.build.records import Build
from domain.evaluate import evaluate
from storage.store.builds import Store
from tests.tui.commanding import Command
from tui.commands.exits import STORE_TROUBLE, USAGE

ESTATE, CAMPER, HATCHBACK, *_ = (build for _, build in demo_builds())


def test_two_builds_side_by_side(store: Path, mainrun: Command) -> None:
    """Titles, masses, what differs; either may be named as anywhere else."""
    ended = mainrun("compare", "estate", "1")
    assert ended.code == 0
    assert ended.out.startswith("A  Estate car, three amplifiers\nB  Small hatchback")
    assert "Conductor to buy" in ended.out
    assert "fuse-over-wire" in ended.out
    assert mainrun("compare", "estate", "nothing").code == USAGE


def test_the_estate_car_as_it_is_and_mended_three_ways_side_by_side(
    store: Path, mainrun: Command
) -> None:
    """With 1 F, with more batteries in the back, with thicker charge cable, strap and ground."""
    sizes = (("r1", "AWG 1/0"), ("r2", "AWG 1/0"), ("r3", "AWG 2/0"))
    thicker = Batch(
        edits=tuple(SetField(table="runs", id=id, field="gauge", value=size) for id, size in sizes)
    )
    mended = (kits.capacitor(ESTATE), kits.bank_in_the_boot(ESTATE), thicker)
    with Store(store) as kept:
        (own,) = [each.key for each in kept.builds() if each.title == ESTATE.header.title]
        keys = [own, *(kept.create(apply(ESTATE, edit)[0]) for edit in mended)]
    ended = mainrun("compare", *map(str, keys))
    assert ended.code == 0, ended.err
    assert [line[0] for line in ended.out.splitlines()[:4]] == list("ABCD")
    said = {line[:24].strip(): line[24:].split() for line in ended.out.splitlines()}
    lamps = [float(volts) for volts in said["Lamps drop at a kick"] if volts != "V"]
    assert len(lamps) == 4
    # second method, an earlier sketch held against a circuit simulator: one battery in the back
    # leaves a third, 1 F and strap nearly all
    assert lamps[2] < 0.5 * lamps[0]
    assert lamps[1] > 0.85 * lamps[0]
    assert lamps[3] > 0.85 * lamps[0]
    assert mainrun("compare", *["1"] * 7).code == USAGE


def test_lamps_that_dim_visibly_are_a_note_of_check(store: Path, mainrun: Command) -> None:
    ended = mainrun("check", "estate")
    assert ended.code == 0
    assert "[lamps-dim]" in " ".join(ended.out.split())
    assert "With every kick your lamps drop about 0.3 V" in " ".join(ended.out.split())
    assert "lamps-dim" not in mainrun("check", "motor").out


@pytest.mark.parametrize(
    ("arguments", "ends"),
    [
        (["estate", "r4", "drop_v"], "V"),
        (["estate", "R4", "margin"], ""),
        (["estate", "a2", "ground_offset_v"], "V"),
        (["estate", "Lightest", "copper_kg"], "kg"),
        (["estate", "supply", "play_minutes"], "min"),
        (["estate", "cruise-tone", "node_v.b1_pos"], "V"),
        (["camper", "drive", "post_v.600"], "V"),
        (["camper", "drive", "charge.99999999"], ""),
        (["hatch", "m4", "tolerance_v"], "V"),
        (["hatch", "m4", "difference_v"], "V"),
    ],
    ids=" ".join,
)
def test_the_working_of_a_figure(
    store: Path, mainrun: Command, arguments: list[str], ends: str
) -> None:
    """Formula first, then inputs, the value and where it is from, within the page."""
    ended = mainrun("workings", *arguments)
    assert ended.code == 0
    lines = ended.out.splitlines()
    (value,) = [line for line in lines if line.startswith("  = ")]
    assert value.endswith(ends)
    assert any(line.startswith("  source: ") for line in lines)
    assert max(map(len, lines)) <= 100


def test_the_working_ends_in_the_figure_of_the_sheet(store: Path, mainrun: Command) -> None:
    """The same figure by another way: read from the sheet as JSON."""
    worked = mainrun("workings", "estate", "r4", "drop_v").out
    run = evaluate(ESTATE).run("r4")
    assert run is not None
    (value,) = [line for line in worked.splitlines() if line.startswith("  = ")]
    assert float(value.split()[1]) == pytest.approx(run.drop_v, rel=1e-5)


def test_without_a_field_the_figures_are_listed(store: Path, mainrun: Command) -> None:
    """Each with its value, so that it can be named."""
    for id, field in (("r4", "drop_v"), ("m4", "predicted_v"), ("drive", "post_v.SECONDS")):
        ended = mainrun("workings", "hatch", id)
        assert ended.code == 0
        assert field in ended.out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["estate", "r99", "drop_v"], "take one of a1"),
        (["estate", "\x1b[2J", "drop_v"], "take one of"),
        (["estate", "r4", "x" * 300], "take one of"),
        (["estate", "drive", "post_v"], "post_v.600"),
        (["estate", "drive", "post_v.-1"], "post_v.600"),
        (["hatch", "m1", "volts"], "predicted_v"),
        (["estate"], "FIGURE_ID"),
    ],
    ids=lambda value: str(value)[:30],
)
def test_a_figure_that_is_not_there(
    store: Path, mainrun: Command, arguments: list[str], said: str
) -> None:
    """One line that says what there is."""
    ended = mainrun("workings", *arguments)
    assert ended.code == USAGE
    assert said in ended.err
    assert ended.err.strip().isprintable()


def test_the_drive_in_three_formats(store: Path, mainrun: Command) -> None:
    """The same profile: every step in CSV and JSON, a row every few minutes in text."""
    read = json.loads(mainrun("drive", "camper", "--format", "json").out)
    rows = list(csv.DictReader(io.StringIO(mainrun("drive", "camper", "--format", "csv").out)))
    steps = sum(leg.duration_s for leg in CAMPER.legs) / read["step_s"]
    assert len(read["points"]) == len(rows) == round(steps)
    assert float(rows[-1]["post V"]) == pytest.approx(read["points"][-1]["post_v"], rel=1e-5)
    assert float(rows[-1]["charge b2"]) == pytest.approx(
        read["points"][-1]["charge"]["b2"], rel=1e-5
    )
    shown = mainrun("drive", "camper").out
    assert shown.startswith("Camper van")
    assert "\nRear battery" in shown


def test_a_build_without_legs_has_no_drive(store: Path, mainrun: Command) -> None:
    """The line says what to add."""
    with Store(store) as opened:
        opened.create(HATCHBACK.but(legs=()))
    ended = mainrun("drive", "4")
    assert ended.code == USAGE
    assert "add stages" in ended.err
    assert json.loads(mainrun("sheet", "4", "--format", "json").out)["drive"] is None


def test_progress_is_shown_on_a_terminal_alone(store: Path) -> None:
    """Standard error in a pipe stays empty; on a terminal something moves, and the data is
    the same."""
    command = [sys.executable, "-m", "tui.commands.main", "drive", "hatch", "--format", "csv"]
    piped = subprocess.run(command, capture_output=True, check=False, timeout=60)
    assert piped.returncode == 0
    assert piped.stderr == b""
    ours, theirs = pty.openpty()
    shown = subprocess.run(
        command,
        stdout=subprocess.PIPE,
        stderr=theirs,
        env={**os.environ, "TERM": "xterm"},
        check=False,
        timeout=60,
    )
    os.close(theirs)
    said = os.read(ours, 65536)
    os.close(ours)
    assert shown.returncode == 0
    assert b"trip" in said
    assert shown.stdout == piped.stdout


def test_a_terminal_without_braille_gets_no_picture(store: Path) -> None:
    """An ASCII terminal is spared a page of escapes."""
    for encoding, drawn in (("ascii", False), ("utf-8", True)):
        ended = subprocess.run(
            [sys.executable, "-m", "tui.commands.main", "drive", "hatch"],
            capture_output=True,
            env={**os.environ, "PYTHONIOENCODING": encoding},
            check=False,
            timeout=60,
        )
        assert ended.returncode == 0
        assert b"\\u28" not in ended.stdout
        assert (b"above: p battery post" in ended.stdout) is drawn


def test_the_readings(store: Path, mainrun: Command) -> None:
    """What was typed first, with the verdict, then everything that can be read."""
    ended = mainrun("readings", "hatch")
    assert ended.code == 0
    assert ended.out.index("FAIL: ") < ended.out.index("Driving, full power:")
    assert "Boot ground" in ended.out
    with Store(store) as opened:
        opened.create(ESTATE.but(runs=(), spots=()))
    assert mainrun("readings", "4").code == 0


def test_a_damaged_build_is_made_anew_from_its_journal(store: Path, mainrun: Command) -> None:
    """A row that nobody can read stops every command on that build; recover gives it back."""
    connection = sqlite3.connect(store)
    connection.execute("UPDATE batteries SET capacity_ah = -5 WHERE build_key = 3")
    connection.commit()
    connection.close()
    assert mainrun("sheet", "3").code == STORE_TROUBLE
    ended = mainrun("recover", "3")
    assert ended.code == 0
    title = "Estate car, three amplifiers (recovered)"
    assert ended.out == f"recovered as 4: {title}\n"
    with Store(store) as opened:
        recovered = opened.open(4).document
        assert recovered == ESTATE.but(header=ESTATE.header.but(title=title))
        assert opened.builds()[0].stops == 0
    assert mainrun("check", ESTATE.header.title).code == STORE_TROUBLE, "that title is its own"
    assert mainrun("recover", "3").out == f"recovered as 5: {title} 2\n"


def test_a_sound_build_is_not_made_a_second_time(store: Path, mainrun: Command) -> None:
    """What stands there is what its journal tells: it says so, and the list stays as it was."""
    before = mainrun("builds").out
    ended = mainrun("recover", "estate")
    assert (ended.code, ended.err) == (0, "")
    assert "build 3 is sound" in ended.out
    assert mainrun("builds").out == before


def test_recovering_what_cannot_be(store: Path, mainrun: Command) -> None:
    """No such build, or a journal without its beginning."""
    assert mainrun("recover", "99").code == USAGE
    connection = sqlite3.connect(store)
    connection.execute("UPDATE journal SET edit = '{' WHERE build_key = 3 AND revision = 0")
    connection.commit()
    connection.close()
    ended = mainrun("recover", "3")
    assert ended.code == STORE_TROUBLE
    assert "journal of build 3" in ended.err


def test_the_kick_drum_is_told_and_refused_where_nobody_plays(
    store: Path, mainrun: Command
) -> None:
    said = " ".join(mainrun("kick", "estate").out.split())
    assert "With every kick your lamps drop about 0.3 V" in said
    assert "one more battery in the back" in said
    assert "engine off" in said
    with Store(store) as kept:
        key = kept.create(Build())
    ended = mainrun("kick", str(key))
    assert ended.code == 2
    assert "feeds an amplifier" in ended.err


def song(path: Path, seconds: float = 6.0) -> Path:
    """A drum of 60 Hz at 2 Hz with a voice over it, as a file."""
    at = np.arange(round(seconds * 8000)) / 8000
    drum = np.sin(2 * np.pi * 60 * at) * np.exp(-(at % 0.5) / 0.1)
    soundfile.write(path, 0.6 * drum + 0.1 * np.sin(2 * np.pi * 500 * at), 8000)
    return path


def test_music_is_judged_and_its_average_taken_if_asked(
    store: Path, mainrun: Command, tmp_path: Path
) -> None:
    file = str(song(tmp_path / "song.wav"))
    with Store(store) as kept:
        before = {each.key: kept.open(each.key).document for each in kept.builds()}
    ended = mainrun("kick", "estate", "--music", file)
    said = " ".join(ended.out.split())
    assert ended.code == 0
    assert "song.wav: 0:06, 8 kHz, 16 bit, mono" in said
    assert "below 80 Hz" in said
    assert "In its hardest second" in said
    assert "as music" in said
    with Store(store) as kept:
        assert before == {key: kept.open(key).document for key in before}
    ended = mainrun("kick", "estate", "--music", file, "--crossover", "120 Hz", "--take")
    assert ended.code == 0
    assert "below 120 Hz" in ended.out
    assert "on average now" in ended.out
    with Store(store) as kept:
        (key,) = [key for key in before if kept.open(key).document != before[key]]
        level = kept.open(key).document.header.average_level
        assert level is not None
        assert f"{level:.1%}" in ended.out
        assert kept.build(key).undo() is not None
        assert kept.open(key).document == before[key]


def test_what_is_no_music_is_refused_and_nothing_is_changed(
    store: Path, mainrun: Command, tmp_path: Path
) -> None:
    silent = tmp_path / "silent.wav"
    soundfile.write(silent, np.zeros(16000), 8000)
    text = tmp_path / "text.wav"
    text.write_text("no music", encoding="utf-8")
    with Store(store) as kept:
        before = [kept.open(each.key) for each in kept.builds()]
    for arguments, why in (
        (["--music", str(silent), "--take"], "is silent: choose another piece"),
        (["--music", str(text), "--take"], "is no music that can be read"),
        (["--music", str(tmp_path)], "is no file"),
        (["--music", str(tmp_path / "none.wav")], "No such file"),
        (["--take"], "go with --music"),
        (["--music", str(silent), "--crossover", "bass"], "takes 20 to 1000 Hz, as 80, not 'bass'"),
        (["--music", str(silent), "--crossover", "19.9"], "not '19.9'"),
        (["--music", str(silent), "--crossover", "nan"], "not 'nan'"),
    ):
        ended = mainrun("kick", "estate", *arguments)
        assert ended.code == USAGE
        assert why in ended.err
        assert ended.err.count("\n") == 1
    with Store(store) as kept:
        assert before == [kept.open(each.key) for each in kept.builds()]
