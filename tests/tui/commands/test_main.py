"""The command line: what it prints, how it ends, and what it does with bad input."""

import csv
import io
import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import jsonschema
import pytest

from demo_db.load import DEMO_FILES, demo_builds
from domain.build.records import Build
from storage.store.builds import Store
from storage.transfer import export_build, import_build
from tests.tui.commanding import Command, Ended
from tui.commands.exits import CLOSED_PIPE, FAULT, INTERRUPTED, STORE_TROUBLE, USAGE

ODD_NAMES = ["[/red]", "=1+1", "\x1b[31mred\x07", "x" * 500, "🎉", "a\nb"]

HEAVY = ("textual", "sqlmodel", "sqlalchemy", "pint", "numpy")

WORKS_OUT_A_BUILD = frozenset(
    ("sheet", "check", "drive", "compare", "readings", "workings", "materials", "quote")
)
"""Commands that wait for numpy where a part of the build carries something, as those of the demo
do; no other command may."""


def process(
    *arguments: str, code: str = "from tui.commands.main import main; main()", **env: str
) -> subprocess.CompletedProcess[bytes]:
    """Run a command in a process of its own."""
    return subprocess.run(
        [sys.executable, "-c", code, *arguments],
        capture_output=True,
        env={**os.environ, **env},
        check=False,
        timeout=60,
    )


@pytest.mark.parametrize(
    "arguments",
    [
        *(["--help"], ["--version"], ["builds"], ["schema"], ["sheet", "estate"]),
        *(["sheet", "hatch", "--format", "json"], ["check", "estate"], ["drive", "estate"]),
        *(["compare", "1", "2"], ["readings", "hatch"], ["workings", "hatch", "r4", "drop_v"]),
    ],
    ids=" ".join,
)
def test_plain_commands_import_nothing_heavy(store: Path, arguments: list[str]) -> None:
    """A fresh process says itself what it has imported."""
    names = [name for name in HEAVY if name != "numpy" or arguments[0] not in WORKS_OUT_A_BUILD]
    ended = process(
        *arguments,
        code="import sys\nfrom tui.commands.main import main\n"
        "try:\n    main()\nexcept SystemExit:\n"
        f"    print([name for name in {names} if name in sys.modules], file=sys.stderr)",
    )
    assert ended.stderr.decode().strip() == "[]"
    assert ended.stdout


def test_builds_lists_the_newest_first(store: Path, mainrun: Command) -> None:
    """The demo store is filled so that the first demo build is the newest."""
    ended = mainrun("builds")
    lines = ended.out.splitlines()
    assert ended.code == 0
    assert [line.split()[0] for line in lines] == ["Key", "3", "2", "1"]
    assert "Estate car" in lines[1]
    assert "\x1b" not in ended.out


def test_a_count_that_nobody_knows_is_no_none(store: Path, mainrun: Command) -> None:
    """`?` with what to do stands for it until `check` has worked the build out."""

    def listed() -> tuple[str, list[str]]:
        lines = mainrun("builds").out.splitlines()
        return lines[1].split()[-1], lines[4:]

    assert listed() == ("0", []), "of three builds whose counts are known"
    with Store(store) as opened:
        hatch = next(b.key for b in opened.builds() if "atchback" in b.title)
        known = {b.key: b.stops for b in opened.builds()}[hatch]
        key = opened.create(opened.open(hatch).document)
    assert listed()[0] == "?"
    assert listed()[1][-1] == "Stops ?: not worked out yet; `mainrun check KEY` does it"
    assert mainrun("check", str(key)).code == 1
    assert listed()[0] == str(known) != "0"
    assert not any("?" in line for line in listed()[1])


def test_check_reads_a_store_that_may_only_be_read(
    store: Path, mainrun: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Store(store) as opened:
        key = opened.create(Build.of({"header": {"title": "New"}}))
    monkeypatch.setattr("os.access", lambda path, mode: mode != os.W_OK)
    ended = mainrun("check", str(key))
    assert (ended.code, ended.err) == (1, ""), "an empty build has its stop"
    assert mainrun("builds").out.splitlines()[1].endswith("?")


def test_an_empty_store_says_so(tmp_path: Path, mainrun: Command) -> None:
    """A store without builds is no error; a store that is not there is one, and is not made."""
    path = tmp_path / "new.sqlite"
    Store(path).close()
    assert mainrun("--store", str(path), "builds") == Ended(0, "no builds\n", "")
    ended = mainrun("--store", str(tmp_path / "none.sqlite"), "builds")
    assert ended.code == STORE_TROUBLE
    assert "mainrun import FILE" in ended.err
    assert not (tmp_path / "none.sqlite").exists()


@pytest.mark.parametrize("wanted", ["3", "estate", "ESTATE CAR", "Estate car, three amplifiers"])
def test_a_build_is_named_by_key_or_part_of_its_title(
    store: Path, mainrun: Command, wanted: str
) -> None:
    """Any of them prints the same sheet."""
    ended = mainrun("sheet", wanted)
    assert ended.code == 0
    assert ended.out.startswith("Estate car, three amplifiers\n")
    assert "RUN SCHEDULE" in ended.out


def test_an_ambiguous_name_lists_the_candidates(store: Path, mainrun: Command) -> None:
    """A comma is in all three demo titles."""
    ended = mainrun("sheet", ",")
    assert ended.code == USAGE
    assert all(part in ended.err for part in ("1 (Small", "2 (Camper", "3 (Estate", "give the key"))


@pytest.mark.parametrize("wanted", ["99", "no such", "", "\x1b[31m", "x" * 500, "٣"])
def test_a_name_that_fits_nothing(store: Path, mainrun: Command, wanted: str) -> None:
    """The line says where the names are, and passes nothing on that a terminal would act on."""
    ended = mainrun("sheet", wanted)
    assert ended.code == USAGE
    assert "`mainrun builds` lists them" in ended.err
    assert ended.err.strip().isprintable()
    assert len(ended.err) < 200


def test_an_exact_title_wins_over_a_part(store: Path, mainrun: Command) -> None:
    """Otherwise a build called "Estate" could never be named beside "Estate car"."""
    with Store(store) as opened:
        key = opened.create(Build.of({"header": {"title": "Estate"}}))
    ended = mainrun("export", "estate", "-")
    assert import_build(ended.out).header.title == "Estate"
    assert mainrun("export", str(key), "-").out == ended.out


def test_check_fails_where_there_is_a_stop(store: Path, mainrun: Command) -> None:
    """The clean demo build passes, the one with faults does not, and says what to do."""
    assert mainrun("check", "estate").code == 0
    ended = mainrun("check", "hatchback")
    assert ended.code == 1
    assert "STOP " in ended.out
    assert "     do     " in ended.out
    assert ended.err == ""


def test_the_sheet_as_csv_lists_every_run(store: Path, mainrun: Command) -> None:
    """Read back by the csv module."""
    rows = list(csv.reader(io.StringIO(mainrun("sheet", "camper", "--format", "csv").out)))
    runs = [row[1] for row in rows if row[0] == "run schedule"]
    assert runs[0] == "id"
    assert set(runs[1:]) == {run.id for run in demo_builds()[1][1].runs}
    assert any(row[0] == "bill of materials" for row in rows)


def test_a_build_goes_out_and_comes_back(store: Path, mainrun: Command, tmp_path: Path) -> None:
    """Export, check against the schema, import: the same build under a new key."""
    file = tmp_path / "camper.json"
    assert mainrun("export", "camper", str(file)) == Ended(0, "", "")
    jsonschema.validate(json.loads(file.read_text()), json.loads(mainrun("schema").out))
    ended = mainrun("import", str(file))
    assert ended == Ended(0, "imported as 4: Camper van, second battery in the rear\n", "")
    with Store(store) as opened:
        assert opened.open(4).document == demo_builds()[1][1]


def test_export_does_not_replace_a_file_unless_forced(
    store: Path, mainrun: Command, tmp_path: Path
) -> None:
    """What was there stays as it was."""
    file = tmp_path / "mine.json"
    file.write_text("precious")
    ended = mainrun("export", "camper", str(file))
    assert ended.code == USAGE
    assert "--force" in ended.err
    assert file.read_text() == "precious"
    assert mainrun("export", "camper", str(file), "--force").code == 0
    assert import_build(file.read_text()) == demo_builds()[1][1]
    assert [path.name for path in tmp_path.glob("*.part")] == []


def test_export_to_a_place_that_cannot_be(store: Path, mainrun: Command, tmp_path: Path) -> None:
    """A folder, a folder that is not there, a name that is too long or holds a NUL."""
    for file in (tmp_path, tmp_path / "no" / "x.json", tmp_path / ("n" * 300), "a\0b"):
        ended = mainrun("export", "camper", str(file))
        assert ended.code == USAGE
        assert ended.err.startswith("mainrun: ")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"not json", "no JSON"),
        (b"\xff\xfe\x00", "UTF-8"),
        (b"[]", "no Mainrun build file"),
        (b'{"format": "mainrun build", "version": 99}', "newer"),
        (b'{"format": "mainrun build", "version": 1, "wheels": 4}', "wheels"),
        (
            b'{"format": "mainrun build", "version": 1, "runs": [{"id": "r1", "length_m": NaN}]}',
            "NaN",
        ),
        (
            b'{"format": "mainrun build", "version": 1, "runs": [{"id": "r1", "length_m": -1}]}',
            "length_m",
        ),
        (
            b'{"format": "mainrun build", "version": 1, "runs": [{"id": "r1", "source": "b9"}]}',
            "b9",
        ),
    ],
    ids=["text", "bytes", "list", "newer", "unknown", "nan", "negative", "nowhere"],
)
def test_a_bad_import_is_refused_whole(
    store: Path, mainrun: Command, tmp_path: Path, content: bytes, said: str
) -> None:
    """Each with a line that says what was wrong; the store stays as it was."""
    file = tmp_path / "bad.json"
    file.write_bytes(content)
    ended = mainrun("import", str(file))
    assert ended.code == USAGE
    assert said in ended.err
    assert "bad.json" in ended.err
    with Store(store) as opened:
        assert len(opened.builds()) == 3


def test_importing_what_is_no_file(store: Path, mainrun: Command, tmp_path: Path) -> None:
    """A missing file and a folder."""
    for file in (tmp_path / "none.json", tmp_path):
        ended = mainrun("import", str(file))
        assert ended.code == USAGE
        assert "cannot be read" in ended.err


def test_export_and_import_in_a_pipe(store: Path) -> None:
    """A dash is standard output and standard input, UTF-8 whatever the terminal's encoding."""
    with Store(store) as opened:
        opened.create(Build.of({"header": {"title": "Fête 🎉"}}))
    out = process("export", "4", "-", PYTHONIOENCODING="ascii")
    assert out.returncode == 0
    back = subprocess.run(
        [sys.executable, "-m", "tui.commands.main", "import", "-"],
        input=out.stdout,
        capture_output=True,
        check=False,
        timeout=60,
    )
    assert back.returncode == 0
    with Store(store) as opened:
        assert opened.open(5).document == opened.open(4).document


@pytest.mark.parametrize("name", ODD_NAMES)
def test_odd_names_pass_through_every_command(
    store: Path, mainrun: Command, tmp_path: Path, name: str
) -> None:
    """Shown as text, never acted on; the name comes back whole from an export."""
    build = Build.of(
        {
            **demo_builds()[2][1].plain(),
            "header": {"title": name, "customer": name, "vehicle": name, "notes": name},
            "amplifiers": [{"id": "a1", "name": name}],
        }
    )
    file = tmp_path / "odd.json"
    file.write_text(export_build(build), encoding="utf-8")
    assert mainrun("import", str(file)).code == 0
    for arguments in (["builds"], ["sheet", "4"], ["check", "4"], ["sheet", "4", "--format=csv"]):
        ended = mainrun(*arguments)
        assert ended.code in (0, 1)
        assert ended.out.replace("\n", "").isprintable()
    assert (
        json.loads(mainrun("sheet", "4", "--format", "json").out)["sheet"]["title"]
        == build.header.title
    )
    assert import_build(mainrun("export", "4", "-").out) == build


def test_a_terminal_that_cannot_show_a_name(store: Path) -> None:
    """An ASCII terminal gets an escape in the place of an emoji, not an error."""
    with Store(store) as opened:
        opened.create(Build.of({"header": {"title": "Party 🎉"}}))
    ended = process("builds", PYTHONIOENCODING="ascii")
    assert ended.returncode == 0
    assert b"Party \\U0001f389" in ended.stdout


def test_the_netlist_of_a_state(store: Path, mainrun: Command) -> None:
    """A netlist names every amplifier's node and ends as SPICE wants; a wrong state is refused."""
    ended = mainrun("netlist", "estate", "--state", "cruise-tone")
    assert ended.code == 0
    assert ended.out.rstrip().lower().endswith(".end")
    assert all(amplifier.id in ended.out for amplifier in demo_builds()[0][1].amplifiers)
    wrong = mainrun("netlist", "estate", "--state", "parked")
    assert wrong.code == USAGE
    assert "cruise-tone" in wrong.err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["shet"], "sheet"),
        (["sheet"], "BUILD"),
        (["sheet", "1", "--format", "xml"], "Invalid value for '--format': 'xml' is not one of"),
        (["builds", "--store", "x"], "before the command"),
        (["netlist", "1"], "--state"),
        (["sheet", "1", "2"], "unexpected"),
        (["--colour"], "--colour"),
        (["\x1b[2J"], "No such command"),
    ],
    ids=str,
)
def test_bad_usage_is_one_line(
    store: Path, mainrun: Command, arguments: list[str], said: str
) -> None:
    """Exit code 2 and a line that names what would do."""
    ended = mainrun(*arguments)
    assert ended.code == USAGE
    assert said in ended.err
    assert ended.err.strip().isprintable()
    assert ended.out == ""


def test_a_store_that_is_no_database(mainrun: Command, tmp_path: Path) -> None:
    """Trouble with the store has its own exit code, and the file is left alone."""
    path = tmp_path / "notes.txt"
    path.write_text("buy cable " * 200)
    ended = mainrun("--store", str(path), "builds")
    assert ended.code == STORE_TROUBLE
    assert "notes.txt" in ended.err
    assert path.read_text() == "buy cable " * 200


def test_the_option_wins_over_the_variable(store: Path, mainrun: Command, tmp_path: Path) -> None:
    """--store names the store even where MAINRUN_STORE names another."""
    other = tmp_path / "other.sqlite"
    Store(other).close()
    assert mainrun("--store", str(other), "builds").out == "no builds\n"


def test_import_makes_a_store_for_the_group_when_asked(mainrun: Command, tmp_path: Path) -> None:
    """Owner only by default; the group can read and write it with --group."""
    file = tmp_path / "build.json"
    file.write_text(export_build(Build()))
    modes = []
    for name, options in (("own", []), ("shared", ["--group"])):
        path = tmp_path / name / "builds.sqlite"
        path.parent.mkdir()
        assert mainrun("--store", str(path), *options, "import", str(file)).code == 0
        modes.append(path.stat().st_mode & 0o777)
    assert modes == [0o600, 0o660]


def test_a_fault_is_one_line_and_its_trace_is_kept(
    store: Path, mainrun: Command, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A fault of our own ends without a traceback on the terminal, but with one in the log."""

    def broken(build: Build, *, swept: bool = False) -> None:
        raise ZeroDivisionError("division\nby zero")

    monkeypatch.setattr("domain.evaluate.make_plan", broken)
    ended = mainrun("sheet", "estate")
    assert ended.code == FAULT
    assert "ZeroDivisionError" in ended.err
    kept = next((tmp_path / "state").rglob("last-fault.txt"))
    assert str(kept) in ended.err
    assert "Traceback" in kept.read_text()


def test_ctrl_c_ends_quietly(
    store: Path, mainrun: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As the shells have it: 128 + SIGINT."""

    def interrupted(build: Build, *, swept: bool = False) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("domain.evaluate.make_plan", interrupted)
    assert mainrun("sheet", "estate") == Ended(INTERRUPTED, "", "")


def test_the_demo_prints_its_sheets_where_there_is_no_terminal(mainrun: Command) -> None:
    """All of them, in order, and the user's own store is not touched."""
    ended = mainrun("demo")
    assert ended.code == 0
    places = [ended.out.index(build.header.title) for _, build in demo_builds()]
    assert places == sorted(places)
    assert ended.out.count("RUN SCHEDULE") == len(DEMO_FILES)


def test_the_demo_in_a_pipe_that_closes_early() -> None:
    """`mainrun demo | head -1`: the line arrives and nobody complains."""
    command = f"'{sys.executable}' -m tui.commands.main demo | head -1; echo ${{PIPESTATUS[0]}}"
    ended = subprocess.run(
        ["bash", "-c", command], capture_output=True, text=True, check=False, timeout=60
    )
    title, code = ended.stdout.splitlines()
    assert title == demo_builds()[0][1].header.title
    assert int(code) in (0, CLOSED_PIPE)
    assert ended.stderr == ""


def test_a_pipe_that_is_closed_before_we_write() -> None:
    """The reader is gone for certain: quiet, with the exit code of a closed pipe."""
    reader, writer = os.pipe()
    os.close(reader)
    ended = subprocess.run(
        [sys.executable, "-m", "tui.commands.main", "demo"],
        stdout=writer,
        stderr=subprocess.PIPE,
        check=False,
        timeout=60,
    )
    os.close(writer)
    assert ended.returncode == CLOSED_PIPE
    assert ended.stderr == b""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full here")
@pytest.mark.parametrize(
    ("command", "redirected", "code", "said"),
    [
        ("demo", ">/dev/full", STORE_TROUBLE, "No space left"),
        ("schema", ">&-", 0, ""),
        ("schema", "<&-", 0, ""),
        ("schema", "2>&-", 0, ""),
    ],
)
def test_output_that_cannot_be_written(command: str, redirected: str, code: int, said: str) -> None:
    """A full disk is one line and an exit code; closed streams are nobody's business."""
    ended = subprocess.run(
        ["bash", "-c", f"'{sys.executable}' -m tui.commands.main {command} {redirected}"],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert ended.returncode == code
    assert said in ended.stderr
    assert ended.stderr.count("\n") == bool(said)


def test_the_program_needs_a_terminal(store: Path, mainrun: Command) -> None:
    """Without one, the line says which commands do without."""
    for arguments in ([], ["open"], ["open", "estate"]):
        ended = mainrun(*arguments)
        assert ended.code == USAGE
        assert "mainrun sheet BUILD" in ended.err


@dataclass(frozen=True)
class Started:
    """With what the terminal program was started."""

    store: Path
    key: int | None
    mouse: bool
    titles: tuple[str, ...]
    opened: bool
    """Whether it was given the store that the build was found in."""


@pytest.fixture
def program(monkeypatch: pytest.MonkeyPatch) -> list[Started]:
    """Stand in for the terminal program, as if there were a terminal."""
    started: list[Started] = []

    def run(
        store_path: Path,
        build_key: int | None = None,
        mouse: bool = True,
        store: Store | None = None,
    ) -> int:
        titles: tuple[str, ...] = ()
        if store is not None or store_path.exists():
            with store or Store(store_path) as opened:
                titles = tuple(each.title for each in opened.builds())
        started.append(Started(store_path, build_key, mouse, titles, store is not None))
        return 0

    monkeypatch.setattr("tui.app.run", run)
    for module in ("main", "opening"):
        monkeypatch.setattr(f"tui.commands.{module}.at_terminal", lambda: True)
    return started


def test_opening_the_program(store: Path, mainrun: Command, program: list[Started]) -> None:
    """Plain on the list of builds, with BUILD on that build, without the mouse when asked."""
    assert mainrun().code == 0
    assert mainrun("--no-mouse", "open", "camper").code == 0
    assert [(each.store, each.key, each.mouse, each.opened) for each in program] == [
        (store, None, True, False),
        (store, 2, False, True),
    ]
    assert mainrun("open", "no such").code == USAGE
    assert len(program) == 2


def test_the_demo_opens_a_store_that_is_thrown_away(
    store: Path, mainrun: Command, program: list[Started]
) -> None:
    """On its first build; the user's own store is not touched, and nothing is left behind."""
    before = store.read_bytes()
    assert mainrun("demo").code == 0
    (demo,) = program
    assert demo.titles[0] == "Estate car, three amplifiers"
    assert demo.key == len(demo.titles)
    assert not demo.store.parent.exists()
    assert store.read_bytes() == before
