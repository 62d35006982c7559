"""The server is away, restarted or slow: nothing is lost, nothing is saved twice.

What was saved is told by the journal, read on a line of its own (second method: the edits that
were sent, counted by hand).
"""

import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from time import sleep

import pytest

from domain.build.edits import AddRecord
from storage.errors import StoreAway
from storage.store.builds import Store, StoreError
from storage.store.location import Server
from storage.store.on_server import link, schema
from tests.storage import server
from tests.storage.between import Between, between
from tests.storage.server import Running, ask
from tests.storage.store.builds import new_store, noticed, set_length, set_title

ROOT = Path(__file__).parents[3]


@pytest.fixture(autouse=True)
def nothing_is_logged(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    """What a library logs would be written across the screen."""
    yield
    assert [each.message for each in caplog.get_records("call")] == []


@pytest.fixture
def line(at_server: Running) -> Iterator[Between]:
    """A line to the server that a test can cut."""
    with between(at_server.port) as found:
        yield found


@pytest.fixture
def direct(on_server: Server) -> tuple[Server, int]:
    """A store with a build, on a line that holds."""
    return on_server, new_store(on_server)[1]


@pytest.fixture
def over_line(direct: tuple[Server, int], line: Between) -> Server:
    """The same store over the line that may be cut."""
    schema_name = direct[0].address.rpartition("?")[2]
    return Server(f"postgresql://mainrun@127.0.0.1:{line.port}/postgres?{schema_name}")


def kinds(place: Server, key: int) -> list[tuple[int, str]]:
    with Store(place) as store:
        assert store.prove().wrong == ()
        return [(each.revision, each.label) for each in reversed(store.build(key).history())]


def zone(id: str) -> AddRecord:
    return AddRecord(table="zones", record={"id": id, "name": id, "ambient_c": 40})


def test_a_connection_that_was_ended_is_made_anew(
    direct: tuple[Server, int], at_server: Running
) -> None:
    place, key = direct
    with Store(place) as store:
        kept = store.build(key)
        for number, ended in enumerate((False, True, True), 1):
            if ended:
                pid = store.database.link.connection.info.backend_pid  # type: ignore[attr-defined]
                ask(at_server, f"SELECT pg_terminate_backend({pid}, 5000)")
            edit = zone(f"z5{number}")
            made = kept.change(lambda build, edit=edit: edit)  # type: ignore[misc]
            assert made.revision == number
        assert store.moved(), "nobody knows what others did meanwhile"
        assert not store.moved()
    assert [revision for revision, _ in kinds(place, key)] == [0, 1, 2, 3]


def test_others_are_heard_of_after_the_connection_was_lost(
    direct: tuple[Server, int], at_server: Running
) -> None:
    place, key = direct
    with Store(place) as store, Store(place) as other:
        pid = store.database.link.connection.info.backend_pid  # type: ignore[attr-defined]
        ask(at_server, f"SELECT pg_terminate_backend({pid}, 5000)")
        seen = False
        for _ in range(200):
            with suppress(StoreAway):
                seen = store.moved()
            if seen:
                break
            sleep(0.05)
        assert seen
        other.build(key).change(lambda build: set_title("Heard of"))
        assert noticed(store)


@pytest.mark.parametrize("when", ["before", "after"])
def test_a_line_cut_over_a_commit_saves_once_or_says_that_it_did_not(
    when: str, direct: tuple[Server, int], over_line: Server, line: Between
) -> None:
    place, key = direct
    with Store(over_line) as store:
        kept = store.build(key)
        kept.change(lambda build: zone("z51"))
        line.cuts = when
        if when == "before":
            with pytest.raises(StoreAway, match="nothing was saved"):
                kept.change(lambda build: zone("z52"))
            assert [revision for revision, _ in kinds(place, key)] == [0, 1]
            assert kept.change(lambda build: zone("z52")).revision == 2
        else:
            assert kept.change(lambda build: zone("z52")).revision == 2
        undone = kept.undo()
        assert undone is not None
        assert undone.revision == 3
    assert [revision for revision, _ in kinds(place, key)] == [0, 1, 2, 3]


@pytest.mark.parametrize("when", ["before", "after"])
def test_what_nobody_heard_the_end_of_is_looked_for_before_anything_else(
    when: str,
    direct: tuple[Server, int],
    over_line: Server,
    line: Between,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    place, key = direct
    monkeypatch.setattr(schema, "SETTLE_S", 0.3)
    with Store(over_line) as store:
        kept = store.build(key)
        kept.open()
        line.cuts, line.stays_away = when, True
        with pytest.raises(StoreAway, match="whether it did is seen when it is back"):
            kept.change(lambda build: zone("z51"))
        with pytest.raises(StoreAway, match="whether it did"):
            kept.change(lambda build: zone("z51"))
        line.refuses = False
        if when == "after":
            with pytest.raises(StoreError, match="that was saved before the server went away"):
                kept.change(lambda build: zone("z51"))
            assert [each.id for each in store.open(key).document.zones][-1] == "z51"
        else:
            assert kept.change(lambda build: zone("z51")).revision == 1
        assert kept.change(lambda build: zone("z52")).revision == 2
    assert [revision for revision, _ in kinds(place, key)] == [0, 1, 2]


def test_a_new_build_is_there_once_whatever_was_heard(
    direct: tuple[Server, int], over_line: Server, line: Between
) -> None:
    from domain.build.start import start_build

    with Store(over_line) as store:
        line.cuts = "after"
        key = store.create(start_build("Once"))
        assert store.open(key).document.header.title == "Once"
    with Store(direct[0]) as store:
        assert [each.title for each in store.builds()].count("Once") == 1


def test_while_it_is_away_it_says_so_and_goes_on_when_it_is_back(
    direct: tuple[Server, int], over_line: Server, line: Between
) -> None:
    _, key = direct
    with Store(over_line) as store:
        kept = store.build(key)
        line.refuses = True
        line.hang_up()
        for _ in range(2):
            with pytest.raises(StoreAway, match=r"cannot be reached, nothing was saved"):
                kept.change(lambda build: set_title("Refused"))
            with pytest.raises(StoreAway):
                store.builds()
            with pytest.raises(StoreAway):
                store.moved()
        store.be_here(key, "Pack")  # what may as well be missing is
        line.refuses = False
        assert kept.change(lambda build: set_title("Back")).revision == 1


def test_a_server_that_does_not_answer_is_not_waited_for(
    direct: tuple[Server, int], over_line: Server, line: Between, monkeypatch: pytest.MonkeyPatch
) -> None:
    place, key = direct
    with Store(over_line) as store:
        kept = store.build(key)
        kept.open()
        monkeypatch.setattr(link, "SLOW_S", 0.3)
        line.is_deaf = True
        monkeypatch.setitem(link._DEFAULTS, "connect_timeout", "2")
        with pytest.raises(StoreAway, match="cannot be reached"):
            kept.change(lambda build: set_title("Unheard"))
        line.is_deaf = False
        monkeypatch.undo()
        assert kept.change(lambda build: set_title("Heard")).revision == 1
    assert len(kinds(place, key)) == 2


def test_a_server_killed_between_edits_keeps_what_it_has_confirmed(tmp_path: Path) -> None:
    """A real server of its own, with everything on the disk before it says so."""
    try:
        own = server.made(Path(tempfile.mkdtemp(prefix="mainrun-own-")))
        own.start()
    except server.NoServer as error:
        pytest.skip(str(error))
    try:
        place = server.new_place(own)
        _, key = new_store(place)
        with Store(place) as store:
            for turn in range(6):
                if turn in (2, 4):
                    own.stop("immediate")  # as if it were killed: it recovers when it starts
                    with pytest.raises(StoreAway):
                        store.build(key).change(lambda build: set_length("r1", 99.0))
                    own.start()
                edit = set_length("r1", 1.0 + turn)
                made = store.build(key).change(lambda build, edit=edit: edit)  # type: ignore[misc]
                assert made.revision == turn + 1
            assert store.prove().wrong == ()
            assert store.open(key).document.runs[0].length_m == 6.0
        with subprocess.Popen(
            [sys.executable, "-m", "tests.storage.store.committer", place.address, str(key)],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        ) as session:
            assert session.stdout is not None
            said = [session.stdout.readline() for _ in range(5)]
            own.stop("immediate")
            own.start()
            session.send_signal(signal.SIGTERM)
            said += session.stdout.read().split()
        with Store(place) as store:
            assert int(said[-1]) <= store.open(key).revision <= int(said[-1]) + 1
            assert store.prove().wrong == ()
    finally:
        own.stop()
        shutil.rmtree(own.folder, ignore_errors=True)
