"""A store with three builds, and the command line run in this process."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from demo_db.load import demo_builds
from domain.evaluate import evaluate
from domain.findings import Level
from storage.store.builds import Store
from tests.solved_once import solve_once
from tests.tui.clock import be_read
from tests.tui.commanding import Command, Ended
from tests.tui.drawing import draw_each_time, draw_when_looked_at
from tests.tui.style_sheets import read_once
from tui.commands.main import main

CATALOGUE = """name,group,item rule,size rule,pack,unit,price,on shelf,supplier
Ferrules 4,Terminals,ferrule,4 awg,2,each,10.10,0,=counter A
Red spool,Wire,"copper wire, red",1/0 awg,15,m,120.00,2,
Ties,Clamps,cable tie,,100,each,,1000,
"""
"""Invented items and prices."""


@pytest.fixture(scope="session", autouse=True)
def _style_sheets_are_read_once_and_nobody_sleeps() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        read_once(patch)
        be_read(patch)
        yield


@pytest.fixture(autouse=True)
def _screens_are_drawn_when_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    draw_when_looked_at(monkeypatch)


@pytest.fixture(autouse=True)
def _networks_are_solved_once(monkeypatch: pytest.MonkeyPatch) -> None:
    solve_once(monkeypatch)


@pytest.fixture
def drawn_each_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Screens are drawn as on a terminal: for a test of what is drawn, and when."""
    draw_each_time(monkeypatch)


@pytest.fixture(scope="session")
def full_store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store with three of the demo builds, made once; nobody writes to it."""
    path = tmp_path_factory.mktemp("store") / "builds.sqlite"
    with Store(path) as store:
        for _, build in reversed(demo_builds()[:3]):
            store.create(build, stops=evaluate(build, swept=True).count(Level.STOP))
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


@pytest.fixture
def stocked(store: Path, mainrun: Command, tmp_path: Path) -> Path:
    """The store of the demo builds with a small catalogue."""
    file = tmp_path / "items.csv"
    file.write_text(CATALOGUE, encoding="utf-8")
    ended = mainrun("catalogue", "--import", str(file))
    assert ended == Ended(0, "the catalogue holds 3 items\n", "")
    return store
