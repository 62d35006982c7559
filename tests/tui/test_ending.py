"""How the program ends when it must: on a fault of its own, and when the terminal is closed."""

import os
import pty
from contextlib import suppress
from pathlib import Path
from threading import Thread

from textual.drivers._writer_thread import WriterThread

from domain.build.actions import add, applied
from domain.build.start import start_build
from storage.store.builds import Store
from tests.tui.driving import stored
from tests.tui.terminal import Terminal
from tui.app import MainrunApp
from tui.commands.exits import FAULT, HUNG_UP
from tui.paste import Screen

BROKEN = """
from tui.commands.main import main
from tui.grids.grid_screen import GridScreen

def broken(screen: GridScreen) -> None:
    raise RuntimeError("a loose wire")

GridScreen.show_help = broken
main()
"""
"""The program, with a help page that fails."""


def one_amplifier(path: Path) -> int:
    build = start_build()
    return stored(path, applied(build, add(build, "amplifiers", name="Front")))


def test_a_fault_restores_the_terminal_and_says_where_the_log_is(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = str(one_amplifier(path))
    state = tmp_path / "state"
    with Terminal(path, "open", key, program=("-c", BROKEN), XDG_STATE_HOME=str(state)) as terminal:
        terminal.until("saved")
        terminal.send(b"\x1bOQ")  # F2
        terminal.until("Front")
        terminal.send(b"\x1b[Chalf typed\x1bOP")  # right, F1
        assert terminal.ended() == FAULT
        said = terminal.shown.rpartition(b"\x1b[?1049l")[2].decode()
    (log,) = state.rglob("last-fault.txt")
    assert "Traceback" not in said
    assert f"report this with {log}" in said
    assert "typed and not confirmed: half typed" in said
    kept = log.read_text()
    assert "RuntimeError: a loose wire" in kept
    assert "typed and not confirmed: half typed" in kept


def test_a_closed_terminal_ends_it_with_a_code_of_its_own(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    with Terminal(path, "open", str(one_amplifier(path))) as terminal:
        terminal.until("saved")
        terminal.close()
        assert terminal.process.wait(60) == HUNG_UP


def test_nobody_waits_to_write_to_a_closed_terminal() -> None:
    ours, theirs = pty.openpty()
    file = os.fdopen(theirs, "w")
    writer = WriterThread(Screen(file))  # type: ignore[arg-type]
    writer.start()
    os.close(ours)

    def much() -> None:
        for number in range(500):
            writer.write(f"{number}\n")
        writer.stop()

    writing = Thread(target=much, daemon=True)
    writing.start()
    writing.join(60)
    assert not writing.is_alive()
    with suppress(OSError):
        file.close()


def test_a_look_at_the_others_finds_nothing_to_show_where_no_screen_is_left(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    one_amplifier(path)
    app = MainrunApp(path)
    try:
        assert not app.screen_stack  # as in the moment in which it ends
        with Store(path) as other:
            other.create(start_build("Van"))
        app.look()
    finally:
        app.store.close()
