"""Sessions that write to one build as fast as they can: none is refused and nothing is lost.

Expected values: the edits that were sent, counted by hand. The long way, with many sessions and
with kills, is ``tests/benchmarks/at_once.py``.
"""

import pytest

from storage.store.location import Place, Server
from tests.benchmarks.at_once import sessions


@pytest.mark.parametrize("same", [False, True], ids=["own fields", "one field"])
def test_two_sessions_at_once(place: Place, same: bool) -> None:
    if isinstance(place, Server):
        address = place.address
    else:
        place.parent.mkdir()
        address = str(place)
    found = sessions(address, 2, 25, same, bench=same)
    assert (found.refused, found.revision, found.lines) == (0, 50, 50)
    assert found.as_journal
    assert found.seen
