"""Damage that SQLite cannot see is found: rows against the journal, and the journal by its sums.

What is damaged is chosen by the test, so that what must be told is known.
"""

import hashlib
import json
import re
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from domain.build.actions import add_amplifier
from domain.build.edits import AddRecord, SetField
from storage.store import moving
from storage.store.builds import Store, StoreError
from storage.store.proving import Proof
from tests.storage.store.builds import file_of, large_build, new_store, set_length, set_title


def worked_in(folder: Path) -> tuple[Path, int]:
    """A store with edits, one of them taken back, and two items."""
    path, key = new_store(folder, large_build(2))
    with Store(path, person="Kim") as store:
        kept = store.build(key)
        for edit in (set_length("r1", 3.0), set_title("Comp car"), set_length("r1", 4.0)):
            kept.change(lambda build, edit=edit: edit)  # type: ignore[misc]
        kept.undo()
        kept.change(lambda build: add_amplifier(build, name="Sub"))
        for number in (1, 2):
            item = {
                "id": f"i{number}",
                "name": f"Lug {number}",
                "group": "Terminals",
                "price": "1.50",
            }
            store.shop().change(lambda shop, item=item: AddRecord(table="items", record=item))  # type: ignore[misc]
        store.shop().change(
            lambda shop: SetField(table="items", id="i2", field="price", value="2.50")
        )
    return path, key


def proof_of(path: Path) -> Proof:
    with Store(path) as store:
        return store.prove()


def damage(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path)) as file:
        for statement in statements:
            file.execute(statement)
        file.commit()


def test_a_sound_store_is_as_it_was_entered(tmp_path: Path) -> None:
    path, _ = worked_in(tmp_path)
    assert proof_of(path) == Proof(1, 6 + 3, ())


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE runs SET length_m = 3.25 WHERE id = 'r1'", "length_m of .* is 3.25, by the jo"),
        ("UPDATE build SET title = 'Camp car'", "title of the header is 'Camp car'"),
        ("DELETE FROM amplifiers WHERE id = 'a3'", "a3"),
        ("UPDATE build SET revision = 4", "is at revision 4, its journal ends at 5"),
        ("DELETE FROM journal WHERE revision = 2", "journal has no line 2"),
        ("UPDATE journal SET person = 'Lee' WHERE revision = 1", "line 1 .* is not as it was wri"),
        ("UPDATE journal SET at = '2001' WHERE revision = 3", "line 3 .* is not as it was written"),
        ("UPDATE journal SET label = '' WHERE revision = 3", "line 3 .* is not as it was written"),
        ("UPDATE journal SET kind = 'done' WHERE revision = 1", "no edit: 'done'"),
        ("UPDATE journal SET edit = replace(edit, '3.0', '8.0')", "by the journal|taken back"),
        ("UPDATE journal SET edit = '{' WHERE revision = 1", "damaged"),
        ("UPDATE catalogue SET price = '7.50' WHERE id = 'i2'", "the shop: line 3 .*price"),
        ("UPDATE shop_journal SET at = '' WHERE revision = 2", "the shop: line 2"),
        ("INSERT INTO zones SELECT 9, id, position, name, ambient_c FROM zones", "not there"),
    ],
)
def test_what_was_damaged_is_told(tmp_path: Path, statement: str, said: str) -> None:
    path, _ = worked_in(tmp_path)
    damage(path, "PRAGMA foreign_keys = OFF", statement)
    wrong = "\n".join(proof_of(path).wrong)
    assert wrong

    assert re.search(said, wrong), wrong


def test_an_older_journal_without_sums_is_held_against_the_rows(tmp_path: Path) -> None:
    path, _ = worked_in(tmp_path)
    damage(path, "UPDATE journal SET checksum = ''", "UPDATE shop_journal SET checksum = ''")
    assert proof_of(path).wrong == ()
    damage(path, "UPDATE runs SET length_m = 9 WHERE id = 'r1'")
    assert len(proof_of(path).wrong) >= 1


def test_the_sum_of_a_line_is_sha_256(tmp_path: Path) -> None:
    """Made here by hand of the line as it stands in the file."""
    path, _ = worked_in(tmp_path)
    with closing(sqlite3.connect(path)) as file:
        *fields, found = file.execute(
            "SELECT revision, kind, target, edit, inverse, label, at, person, session, checksum "
            "FROM journal WHERE revision = 4"
        ).fetchone()
    text = json.dumps(fields, separators=(",", ":")).encode()
    assert found == hashlib.sha256(text).hexdigest()[:16]


def test_a_backup_is_the_store_as_it_is_while_others_work(tmp_path: Path) -> None:
    path, key = worked_in(tmp_path)
    copy = tmp_path / "copy.sqlite"
    with Store(path, person="Kim") as store, Store(path, person="Lee") as other:
        other.be_here(key, "Pack")
        other.build(key).change(lambda build: set_title("Just now"))
        moving.back_up(store, copy)
        other.build(key).change(lambda build: set_title("Later"))
        expected = store.as_it_was(key, 6)
    assert copy.stat().st_mode & 0o777 == 0o600
    assert sorted(each.name for each in tmp_path.glob("copy*")) == ["copy.sqlite"]
    with Store(copy) as opened:
        assert opened.open(key).document == expected
        assert opened.open(key).document.header.title == "Just now"
    assert proof_of(copy).wrong == ()


def test_a_damaged_store_is_not_backed_up_over_a_good_one(tmp_path: Path) -> None:
    path, _ = worked_in(tmp_path)
    copy = tmp_path / "copy.sqlite"
    with Store(path) as store:
        moving.back_up(store, copy)
        good = copy.read_bytes()
        file_of(store).execute("PRAGMA wal_checkpoint(TRUNCATE)")
    content = bytearray(path.read_bytes())
    content[4096 * 3 : 4096 * 3 + 2000] = bytes(2000)
    path.write_bytes(content)
    try:
        with Store(path) as store, pytest.raises(StoreError, match="damaged"):
            moving.back_up(store, copy, replace=True)
    except StoreError:
        pass  # the damage was met at the opening already
    assert copy.read_bytes() == good


def test_an_empty_store_is_sound(tmp_path: Path) -> None:
    path = tmp_path / "new.sqlite"
    Store(path).close()
    assert proof_of(path) == Proof(0, 0, ())
