"""A whole store copied between file and server (second method: what each build and every undo
gives on either side, and the proof of the journal).
"""

import os
from pathlib import Path

import pytest

from domain.build.edits import AddRecord, SetField
from storage.store import moving
from storage.store.builds import Store, StoreError
from storage.store.left_off import LeftOff
from storage.store.location import Place, Server
from tests.storage.server import Running, ask
from tests.storage.store.builds import large_build, new_store, set_length, set_title


def worked_in(place: Place) -> None:
    """A store in which two people have worked: builds, the shop, undo, a cut session."""
    _, key = new_store(place, large_build(2))
    with Store(place, person="Kim") as kim, Store(place, person="Lee") as lee:
        kim.build(key).change(lambda build: set_length("r1", 0.1 + 0.2))
        lee.build(key).change(lambda build: set_title("Lee's [red] \x1b ø"))
        kim.build(key).undo()
        other = lee.create(large_build(1), stops=3)
        lee.archive(other, True)
        lee.shop().change(
            lambda shop: AddRecord(
                table="items",
                record={"id": "i1", "name": "Lug", "group": "Terminals", "price": "0.10"},
            )
        )
        kim.shop().change(
            lambda shop: SetField(table="items", id="i1", field="price", value="2.50")
        )
        kim.be_here(key, "Pack")
        kim.keep_left_off(LeftOff(key, "pack", "lines", "r1", "length", "18 i"))


def told(place: Place) -> object:
    """All that a store tells of itself."""
    with Store(place, person="Kim") as store:
        assert store.prove().wrong == ()
        builds = store.builds(archived=True)
        keys = sorted(each.key for each in builds)
        documents = [store.open(key) for key in keys]
        journals = [store.build(key).since(-1) for key in keys]
        shop = store.shop()
        return builds, documents, journals, shop.open(), shop.since(-1), store.left_off()


def test_a_backup_of_a_server_is_a_store_in_one_file(on_server: Server, tmp_path: Path) -> None:
    worked_in(on_server)
    copy = tmp_path / "copy.sqlite"
    with Store(on_server) as store:
        moving.back_up(store, copy)
        with pytest.raises(StoreError, match="already there"):
            moving.back_up(store, copy)
    assert [each.name for each in tmp_path.iterdir()] == ["copy.sqlite"]
    assert copy.stat().st_mode & 0o777 == 0o600 or os.name != "posix"
    assert told(copy) == told(on_server)


@pytest.mark.parametrize("way", ["file to server", "server to file", "file to file"])
def test_a_copy_tells_the_same_and_goes_on(way: str, on_server: Server, tmp_path: Path) -> None:
    file, second = tmp_path / "one.sqlite", tmp_path / "two.sqlite"
    ways: dict[str, tuple[Place, Place]] = {
        "file to server": (file, on_server),
        "server to file": (on_server, file),
        "file to file": (file, second),
    }
    source, target = ways[way]
    worked_in(source)
    with Store(source) as old, Store(target) as new:
        copied = moving.copy_store(old, new)
        assert (copied.builds, copied.lines) == (2, 7)
    assert told(target) == told(source)
    with Store(target, person="Lee") as store:
        undone = store.build(1).undo()
        assert undone is not None
        assert undone.document.header.title == "Sixty runs"
        assert store.create(large_build(1)) == 3, "the next key is a new one"
        assert store.others() == ()
    with Store(source) as old, Store(target) as new:
        before = told(target)
        with pytest.raises(StoreError, match="is not empty, it has rows of builds: nothing was"):
            moving.copy_store(old, new)
    assert told(target) == before


def test_a_copy_that_is_not_equal_is_not_kept(
    on_server: Server, at_server: Running, tmp_path: Path
) -> None:
    file = tmp_path / "one.sqlite"
    worked_in(file)
    Store(on_server).close()
    schema = on_server.address.rpartition("%3D")[2]
    ask(
        at_server,
        f"CREATE FUNCTION {schema}.shorter() RETURNS trigger LANGUAGE plpgsql AS "
        "'BEGIN NEW.length_m := coalesce(NEW.length_m, 1) * 0.999; RETURN NEW; END'",
        f"CREATE TRIGGER shorter BEFORE INSERT ON {schema}.runs FOR EACH ROW "
        f"EXECUTE FUNCTION {schema}.shorter()",
    )
    with Store(file) as old, Store(on_server) as new:
        with pytest.raises(StoreError, match=r"not equal, none is kept: row 1 of runs .*length_m"):
            moving.copy_store(old, new)
        assert new.builds(archived=True) == []
        assert new.shop().revision() == 0
