"""A session killed with SIGKILL loses nothing that it had saved (second method: replay)."""

import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from storage.store.builds import Store
from storage.store.journal import replay
from tests.storage.store.builds import commit, file_of, new_store, set_title


@pytest.mark.parametrize("after_lines", [1, 7, 40])
def test_a_killed_session_keeps_every_saved_edit(tmp_path: Path, after_lines: int) -> None:
    path, key = new_store(tmp_path)
    with subprocess.Popen(
        [sys.executable, "-m", "tests.storage.store.committer", str(path), str(key)],
        cwd=Path(__file__).parents[3],
        stdout=subprocess.PIPE,
        text=True,
    ) as session:
        assert session.stdout is not None
        lines = [session.stdout.readline() for _ in range(after_lines)]
        session.send_signal(signal.SIGKILL)
        lines += session.stdout.read().split()
        assert session.wait(timeout=60) == -signal.SIGKILL
    said = int(lines[-1])
    assert said >= after_lines
    with Store(path) as store:
        opened = store.open(key)
        assert said <= opened.revision <= said + 1
        assert store.build(key).history(limit=1)[0].revision == opened.revision
        assert file_of(store).execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        commit(store, key, opened.revision, opened.document, set_title("Goes on"))
    with closing(sqlite3.connect(path)) as file:
        file.row_factory = sqlite3.Row
        replayed = replay(file, key)
    with Store(path) as store:
        assert store.open(key).document == replayed
