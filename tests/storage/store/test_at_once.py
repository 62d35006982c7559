"""Sessions that write to one build as fast as they can: none is refused and nothing is lost.

Expected values: the edits that were sent, counted by hand. The long way, with many sessions and
with kills, is ``tests/benchmarks/at_once.py``.
"""

from typing import Any

import pytest

import tui.workbench
from domain.build.records import Build
from domain.build.start import start_build
from storage.store.builds import Store
from storage.store.location import Place, Server
from tests.benchmarks.at_once import sessions
from tests.storage.store.builds import set_length
from tui.workbench import Workbench


@pytest.mark.parametrize("same", [False, True], ids=["own fields", "one field"])
def test_two_sessions_at_once(place: Place, same: bool) -> None:
    address = place.address if isinstance(place, Server) else str(place)
    found = sessions(address, 2, 25, same, bench=same)
    assert (found.refused, found.revision, found.lines) == (0, 50, 50)
    assert found.as_journal
    assert found.seen


def test_nobody_waits_while_what_follows_is_worked_out(
    place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An edit on top of another's is worked out once it is saved: shorts may take seconds."""
    planned = tui.workbench.planned
    wrote: list[Build] = []

    def meanwhile(build: Build, **how: Any) -> Any:
        other.build(key).change(lambda now: set_length("r2", 1.0 + len(wrote)))
        wrote.append(build)
        return planned(build, **how)

    with Store(place) as store, Store(place) as other:
        key = store.create(start_build("Together"))
        opened = store.open(key)
        bench = Workbench(store, key, opened.document, opened.revision)
        other.build(key).change(lambda now: set_length("r3", 1.0))
        bench.changes(set_length("r1", 2.0))
        monkeypatch.setattr("tui.workbench.planned", meanwhile)
        bench.make(lambda now: set_length("r1", 2.0))
        monkeypatch.undo()
        assert wrote
        bench.catch_up()
        run = {run.id: run.length_m for run in bench.document.runs}
        assert (run["r1"], run["r2"], run["r3"]) == (2.0, float(len(wrote)), 1.0)
