"""Where a store can be: a file, or a schema on a server. What holds of one holds of the other."""

from pathlib import Path

import pytest

from storage.store.location import Place, Server
from tests.storage import server


@pytest.fixture
def at_server() -> server.Running:
    """The server of this run."""
    try:
        return server.running()
    except server.NoServer as error:
        pytest.skip(str(error))


@pytest.fixture
def on_server(at_server: server.Running) -> Server:
    """Room for a store on a server."""
    return server.new_place(at_server)


@pytest.fixture(params=["file", "server"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Place:
    """Room for a store, on either."""
    if request.param == "file":
        return tmp_path / "store" / "builds.sqlite"
    found: Server = request.getfixturevalue("on_server")
    return found
