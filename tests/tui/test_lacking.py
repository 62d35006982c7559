"""What one system has and another lacks is asked for, never assumed.

Each thing is taken away in a process of its own, in which the store and the program then work.
That shows that nothing of it is assumed; it does not show Windows or macOS themselves.
"""

import os
import subprocess
import sys
from pathlib import Path, PurePosixPath, PureWindowsPath

import pytest

from storage.store.builds import Store
from storage.store.location import uri_of
from storage.store.on_file import opening
from tests.storage.store.builds import file_of, new_store, set_title
from tui.commands.exits import STOPS_FOUND

ROOT = Path(__file__).parents[2]

TAKEN = {
    "modules of one family of systems": """
import asyncio, subprocess, tempfile  # these ask for them themselves
for name in ("fcntl", "termios", "tty", "pty", "pwd", "grp", "resource", "syslog"):
    sys.modules[name] = None
""",
    "signals": """
import asyncio, signal
for name in ("SIGHUP", "SIGTERM", "SIGQUIT", "SIGTSTP", "SIGCONT", "SIGWINCH", "SIGUSR1"):
    delattr(signal, name)
""",
    "signal handlers of the event loop": """
import asyncio
def lacking(*_):
    raise NotImplementedError
asyncio.SelectorEventLoop.add_signal_handler = lacking
""",
    "users and groups": """
import asyncio, os, subprocess, tempfile
import platformdirs  # which asks for them itself
for name in ("getuid", "geteuid", "getgid", "getegid", "chown", "fchown", "getgroups"):
    delattr(os, name)
""",
    "permissions": """
import os
os.chmod = lambda *_, **__: None
os.umask = lambda _: 0
""",
    "synchronizing a folder": """
import os, stat
fsync = os.fsync
def files_only(descriptor):
    if stat.S_ISDIR(os.fstat(descriptor).st_mode):
        raise OSError(22, "Invalid argument")
    fsync(descriptor)
os.fsync = files_only
""",
    "a clock before 1970 and a time zone": """
import time
def lacking(_=0):
    raise OSError(22, "Invalid argument")
time.localtime = lacking
""",
}

WORK = """
import asyncio
from pathlib import Path
from domain.build.start import start_build
from domain.build.edits import SetField
from storage.store.builds import Store
from storage.store.location import uri_of
from storage.store.moving import back_up
folder = Path(sys.argv[1])
path = folder / "made" / "store.sqlite"
path.parent.mkdir()
with Store(path, share_with_group=True) as store:
    key = store.create(start_build("Here"))
    kept = store.build(key)
    kept.change(lambda build: SetField(table="header", field="title", value="There"))
    store.be_here(key, "Pack")
    kept.undo()
    kept.redo()
    back_up(store, folder / "copy.sqlite")
    assert store.prove().wrong == ()
    assert store.author.person

from tui.app import MainrunApp
async def session():
    app = MainrunApp(path, key)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.press("f4", "1", "0", "f", "t")
        await pilot.press("enter", "ctrl+z", "alt+h")
        await pilot.pause()
        app.cut_off(0)
    app.store.close()
asyncio.run(session())

from tui.commands.main import main
export = ["export", "1", str(folder / "x.json")]
for arguments in (["history", "1"], ["builds"], ["verify"], export):
    try:
        main(["--store", str(path), *arguments])
    except SystemExit as leaving:
        assert not leaving.code, arguments
print("done")
"""


@pytest.mark.parametrize("taken", TAKEN)
def test_the_program_works_without(taken: str, tmp_path: Path) -> None:
    code = f"import sys\n{TAKEN[taken]}\n{WORK}"
    ended = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        env={
            **os.environ,
            "XDG_CONFIG_HOME": str(tmp_path),
            "TEXTUAL_DRIVER": "textual.drivers.headless_driver:HeadlessDriver",
        },
        timeout=120,
        check=False,
    )
    assert ended.returncode == 0, ended.stderr[-2000:]
    assert ended.stdout.endswith("done\n")


@pytest.mark.parametrize(
    ("page", "command"),
    [
        ("cp437", ["sheet", "5"]),
        ("cp850", ["history", "5"]),
        ("cp932", ["drive", "4"]),
        ("cp1252", ["materials", "5"]),
        ("ascii", ["check", "3"]),
    ],
)
def test_a_console_s_code_page_is_no_trouble(page: str, command: list[str], tmp_path: Path) -> None:
    from demo_db.load import demo_store

    path = tmp_path / "store.sqlite"
    demo_store(path)
    ended = subprocess.run(
        [sys.executable, "-m", "tui.commands.main", "--store", str(path), *command],
        cwd=ROOT,
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": page, "PYTHONUTF8": "0"},
        timeout=60,
        check=False,
    )
    assert ended.returncode in (0, STOPS_FOUND), ended.stderr[-2000:]
    assert ended.stdout.decode(page)


def test_a_disk_without_shared_memory_or_locks_keeps_a_store(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SQLite's own layer for such disks, which refuses write-ahead logging."""
    plain = opening._connect
    monkeypatch.setattr(
        opening, "_connect", lambda path, mode: plain(path, f"{mode}&vfs=unix-none")
    )
    path, key = new_store(tmp_path)
    with Store(path) as store:
        assert file_of(store).execute("PRAGMA journal_mode").fetchone()[0] == "delete"
        store.build(key).change(lambda build: set_title("Kept"))
        store.be_here(key, "Pack")
        store.moved()
        assert not store.moved()
    with Store(path) as store:
        assert store.open(key).document.header.title == "Kept"


@pytest.mark.parametrize(
    ("path", "uri"),
    [
        (PurePosixPath("/srv/shop/b?x.sqlite"), "file:///srv/shop/b%3Fx.sqlite"),
        (PureWindowsPath("C:/Users Shop/b.sqlite"), "file:///C:/Users%20Shop/b.sqlite"),
        (PureWindowsPath("//server/share/b.sqlite"), "file:////server/share/b.sqlite"),
    ],
)
def test_the_address_of_a_store_on_each_system(
    path: PurePosixPath | PureWindowsPath, uri: str
) -> None:
    """After an empty host SQLite takes the path as it stands (its page on URIs, from memory)."""
    assert uri_of(path) == uri
