"""A store with the demo builds, and the command line run in this process."""

import shutil
from pathlib import Path

import pytest

from demo_db.load import demo_store
from tests.tui.commanding import Command, Ended
from tui.commands import main


@pytest.fixture(scope="module")
def full_store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store with the demo builds, made once; nobody writes to it."""
    path = tmp_path_factory.mktemp("store") / "builds.sqlite"
    demo_store(path)
    return path


@pytest.fixture
def store(full_store: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of that store, which the commands of this test use."""
    path = tmp_path / "builds.sqlite"
    shutil.copy(full_store, path)
    monkeypatch.setenv("MAINRUN_STORE", str(path))
    return path


@pytest.fixture
def mainrun(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Command:
    """Run a command in this process."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))

    def command(*arguments: str) -> Ended:
        capsys.readouterr()
        with pytest.raises(SystemExit) as leaving:
            main(list(arguments))
        out, err = capsys.readouterr()
        assert "Traceback" not in err
        assert err.count("\n") == (1 if err else 0), "an error is one line"
        assert isinstance(leaving.value.code, int)
        return Ended(leaving.value.code, out, err)

    return command
