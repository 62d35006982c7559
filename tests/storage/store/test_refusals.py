"""What a store refuses: each with a sentence that says what is wrong, and nothing lost.

Expected values: conservation (the build that was saved is still read).
"""

import os
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from shlex import quote

import pytest

from domain.build.actions import add_amplifier
from domain.build.edits import apply
from domain.build.start import start_build
from storage.store import versions
from storage.store.builds import Store, StoreChanged, StoreError
from storage.store.location import own_place
from storage.store.on_file import opening
from tests.storage.store.builds import (
    commit,
    file_of,
    large_build,
    new_store,
    set_length,
    set_title,
)

ROOT = Path(__file__).parents[3]


def test_a_file_that_is_no_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear customer, " * 200)
    before = path.read_bytes()
    with pytest.raises(StoreError, match=r"letter\.txt is no database"):
        Store(path)
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["letter.txt"]


def test_the_database_of_another_program_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.sqlite"
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE tracks (title TEXT)")
    before = path.read_bytes()
    with pytest.raises(StoreError, match="database of another program"):
        Store(path)
    assert path.read_bytes() == before


def test_a_store_of_a_newer_version_is_left_alone(tmp_path: Path) -> None:
    path, _ = new_store(tmp_path)
    with closing(sqlite3.connect(path)) as newer:
        newer.execute(f"PRAGMA user_version = {versions.latest() + 1}")
    with pytest.raises(StoreError, match=r"newer Mainrun .* update Mainrun"):
        Store(path)
    with closing(sqlite3.connect(path)) as newer:
        assert newer.execute("PRAGMA user_version").fetchone()[0] == versions.latest() + 1


@pytest.mark.parametrize("place", ["directory", "below a file"])
def test_a_place_that_can_hold_no_store(tmp_path: Path, place: str) -> None:
    (tmp_path / "file").write_text("")
    path = tmp_path if place == "directory" else tmp_path / "file" / "store.sqlite"
    with pytest.raises(StoreError, match=r"name (a file in it|another place)"):
        Store(path)


def test_a_link_leads_to_the_store_and_a_circle_of_links_is_told(tmp_path: Path) -> None:
    link, circle = tmp_path / "link", tmp_path / "circle"
    link.symlink_to(tmp_path / "real.sqlite")
    with Store(link) as store:
        store.create(start_build())
    with Store(tmp_path / "real.sqlite") as store:
        assert len(store.builds()) == 1
    circle.symlink_to(circle)
    for path in (circle, tmp_path / "a\0b"):
        with pytest.raises(StoreError, match="name another place"):
            Store(path)


def test_an_empty_file_becomes_a_store(tmp_path: Path) -> None:
    path = tmp_path / "empty.sqlite"
    path.touch()
    with Store(path) as store:
        assert store.builds() == []


def test_a_damaged_file_is_told(tmp_path: Path) -> None:
    path, key = new_store(tmp_path, large_build(60))
    content = bytearray(path.read_bytes())
    content[4096:] = b"\xa5" * (len(content) - 4096)
    path.write_bytes(content)
    with (
        pytest.raises(StoreError, match=r"is damaged .*keep this file.*`mainrun backup`"),
        Store(path) as store,
    ):
        store.open(key)


def test_damage_that_the_database_cannot_even_quote_is_told(tmp_path: Path) -> None:
    # byte 0xDA before an ASCII letter is no UTF-8, and SQLite's message holds the table's name
    path, _ = new_store(tmp_path)
    content = path.read_bytes()
    path.write_bytes(
        content.replace(b"tablealternatorsalternators", b"table\xdalternatorsalternators").replace(
            b"CREATE TABLE alternators", b"CREATE XABLE alternators"
        )
    )
    with (
        pytest.raises(StoreError, match=r"is damaged .*keep this file.*`mainrun backup`"),
        Store(path) as store,
    ):
        store.builds()


@pytest.mark.parametrize(
    ("damage", "named"),
    [
        ("UPDATE runs SET length_m = -2 WHERE id = 'r1'", r"runs r1: length_m"),
        ("UPDATE zones SET ambient_c = 'warm' WHERE id = 'z2'", r"zones z2: ambient_c"),
        ("UPDATE batteries SET chemistry = 'NUCLEAR'", r"batteries b1: chemistry"),
        ("UPDATE build SET drop_limit_v = 0", r"header: drop_limit_v"),
        ("UPDATE runs SET target = 'a77' WHERE id = 'r4'", r"runs r4: target names a77"),
        ("UPDATE grounds SET name = CAST(x'ff' AS TEXT)", r"grounds: a text"),
    ],
)
def test_a_row_that_no_record_can_be_is_named(tmp_path: Path, damage: str, named: str) -> None:
    path, key = new_store(tmp_path)
    with Store(path) as store:
        other = store.create(start_build("Whole"))
    with closing(sqlite3.connect(path)) as file, file:
        file.execute(f"{damage}{' AND' if 'WHERE' in damage else ' WHERE'} {_of(damage)} = {key}")
    with Store(path) as store:
        with pytest.raises(StoreError, match=rf"build {key} is damaged in {named}"):
            store.open(key)
        assert store.open(other).document == start_build("Whole")


def _of(damage: str) -> str:
    return "key" if damage.startswith("UPDATE build") else "build_key"


def test_a_build_that_is_not_there(tmp_path: Path) -> None:
    path, _ = new_store(tmp_path)
    edit = set_title("Lost")
    after, inverse = apply(start_build(), edit)
    with Store(path) as store:
        for use in (
            lambda: store.open(7),
            lambda: store.build(7).history(),
            lambda: store.duplicate(7, "Copy"),
            lambda: store.archive(7, True),
            lambda: store.build(7).undo(),
            lambda: store.build(7).commit(0, edit, inverse, after),
        ):
            with pytest.raises(StoreError, match="there is no build 7 in this store"):
                use()
        assert len(store.builds()) == 1


def test_another_session_in_between_is_told(tmp_path: Path) -> None:
    path, key = new_store(tmp_path)
    with Store(path) as mine, Store(path) as theirs:
        build = mine.open(key).document
        _, changed = commit(theirs, key, 0, theirs.open(key).document, set_title("Theirs"))
        edit = set_length("r4", 3.0)
        after, inverse = apply(build, edit)
        with pytest.raises(StoreChanged, match="another session changed"):
            mine.build(key).commit(0, edit, inverse, after)
        opened = mine.open(key)
        assert (opened.document, opened.revision) == (changed, 1)
        commit(mine, key, 1, opened.document, edit)
        assert theirs.open(key).document == apply(changed, edit)[0]


def test_a_locked_store_is_told_and_works_again_after(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(opening, "BUSY_S", 0.05)
    path, key = new_store(tmp_path)
    with Store(path) as store, closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError, match="being written by another program"):
            commit(store, key, 0, start_build(), set_title("Later"))
        assert store.open(key).document == start_build()
        other.execute("ROLLBACK")
        commit(store, key, 0, start_build(), set_title("Later"))
        assert store.open(key).document.header.title == "Later"


def test_a_full_disk_loses_no_saved_edit_and_no_journal_line(tmp_path: Path) -> None:
    path, key = new_store(tmp_path)
    build, revision = start_build(), 0
    with Store(path) as store:
        pages = file_of(store).execute("PRAGMA page_count").fetchone()[0]
        file_of(store).execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(StoreError, match=r"disk .* is full.*free some space"):  # noqa: PT012
            for _ in range(200):
                revision, build = commit(store, key, revision, build, add_amplifier(build))
        opened = store.open(key)
        assert (opened.document, opened.revision) == (build, revision)
        assert store.build(key).history()[0].revision == revision
        file_of(store).execute(f"PRAGMA max_page_count = {pages * 10}")
        revision, build = commit(store, key, revision, build, add_amplifier(build))
    with Store(path) as store:
        assert store.open(key).document == build


@pytest.fixture
def open_place() -> Iterator[Path]:
    """A directory that every user of the system can reach."""
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o755)
        yield Path(name)
        Path(name).chmod(0o755)


READ_ONLY_SESSION = """
import os, sys
import hashlib, sqlmodel, tempfile  # what is installed may be out of reach with fewer rights
from pathlib import Path
from domain.build.edits import SetField, apply
from storage.store.builds import Store, StoreError
if os.getuid() == 0:
    os.setuid(65534)
with Store(Path(sys.argv[1])) as store:
    key = store.builds()[0].key
    opened = store.open(key)
    print(store.read_only, opened.document.header.title, len(opened.document.runs))
    edit = SetField(table="header", field="title", value="Changed")
    after, inverse = apply(opened.document, edit)
    for write in (
        lambda: store.build(key).commit(0, edit, inverse, after),
        lambda: store.build(key).undo(),
        lambda: store.create(opened.document),
        lambda: store.archive(key, True),
    ):
        try:
            write()
        except StoreError as error:
            print(error)
"""


@pytest.mark.parametrize("closed", ["file", "directory", "both"])
def test_a_read_only_store_can_be_viewed_but_not_changed(open_place: Path, closed: str) -> None:
    path = open_place / "builds.sqlite"
    with Store(path) as store:
        store.create(start_build("To look at"))
    path.chmod(0o444 if closed in ("file", "both") else 0o666)
    open_place.chmod(0o555 if closed in ("directory", "both") else 0o777)
    before = path.read_bytes()
    session = subprocess.run(
        [sys.executable, "-c", READ_ONLY_SESSION, str(path)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert session.stderr == ""
    seen, *refused = session.stdout.splitlines()
    assert seen == "True To look at 4"
    assert len(refused) == 4
    assert all("may only be read, nothing was saved" in line for line in refused)
    assert path.read_bytes() == before


def test_a_store_that_becomes_read_only_is_told(tmp_path: Path) -> None:
    path, key = new_store(tmp_path)
    with Store(path) as store:
        file_of(store).execute("PRAGMA query_only = ON")
        with pytest.raises(StoreError, match="may only be read: ask its owner"):
            commit(store, key, 0, start_build(), set_title("Refused"))
        assert store.open(key).document == start_build()


@pytest.mark.parametrize(
    ("share", "file_mode", "directory_mode"), [(False, 0o600, 0o700), (True, 0o660, 0o2770)]
)
@pytest.mark.parametrize("umask", [0o000, 0o077])
def test_a_new_store_is_for_its_owner_only(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    share: bool,
    file_mode: int,
    directory_mode: int,
    umask: int,
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "made"))
    path = own_place()
    assert path.parent.parent == tmp_path / "made"
    earlier = os.umask(umask)
    try:
        with Store(path, share_with_group=share) as store:
            key = store.create(start_build())
            commit(store, key, 0, start_build(), set_title("Private"))
            names = {p.name for p in path.parent.iterdir()}
            assert names == {"builds.sqlite", "builds.sqlite-wal", "builds.sqlite-shm"}
            assert {p.stat().st_mode & 0o777 for p in path.parent.iterdir()} == {file_mode}
    finally:
        os.umask(earlier)
    for directory in (path.parent, path.parent.parent):
        assert directory.stat().st_mode & 0o7777 == directory_mode


@pytest.mark.parametrize("share", [False, True])
def test_a_folder_is_made_for_the_user_s_own_place_alone(tmp_path: Path, share: bool) -> None:
    for path in (tmp_path / "no" / "builds.sqlite", tmp_path / "a b" / "deeper" / "builds.sqlite"):
        with pytest.raises(StoreError, match="no folder") as refused:
            Store(path, share_with_group=share)
        assert str(refused.value).endswith(f"make it first with mkdir -p {quote(str(path.parent))}")
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "file").touch()
    with pytest.raises(StoreError, match=r"/file/builds\.sqlite cannot be made or reached"):
        Store(tmp_path / "file" / "builds.sqlite")


def test_the_file_is_private_from_its_first_moment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    modes: list[int] = []
    really_open = os.open

    def watched(path: Path, flags: int, mode: int = 0o777) -> int:
        descriptor = really_open(path, flags, mode)
        modes.append(os.fstat(descriptor).st_mode & 0o777)
        return descriptor

    earlier = os.umask(0)
    try:
        monkeypatch.setattr("storage.store.on_file.opening.os.open", watched)
        Store(tmp_path / "builds.sqlite").close()
    finally:
        os.umask(earlier)
    assert modes == [0o600]
