"""Where a store can be: a file, or a schema on a server. What holds of one holds of the other."""

from pathlib import Path

import pytest

from storage.store.location import Place, Server
from tests.solved_once import solve_once


@pytest.fixture(autouse=True)
def _networks_are_solved_once(monkeypatch: pytest.MonkeyPatch) -> None:
    solve_once(monkeypatch)


@pytest.fixture(params=["file", "server"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Place:
    """Room for a store, on either."""
    if request.param == "file":
        (tmp_path / "store").mkdir()
        return tmp_path / "store" / "builds.sqlite"
    found: Server = request.getfixturevalue("on_server")
    return found
