"""A store for a group: modes and groups of files and folders, as chmod(2) and open(2) say."""

import errno
import os
import sqlite3
import stat
from pathlib import Path

import pytest

from storage.store.builds import Store, StoreError
from storage.store.location import own_place
from storage.store.on_file import sharing

grp, pwd = pytest.importorskip("grp"), pytest.importorskip("pwd")
posix = pytest.mark.skipif(os.name != "posix", reason="groups of POSIX")


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def other_group() -> int:
    """A group of this user that is not the first; the root of a container may take any."""
    more = [group for group in os.getgroups() if group != os.getegid()]
    if os.geteuid() and not more:
        pytest.skip("this user has one group only")
    return more[0] if more else 1


@posix
def test_a_folder_that_is_made_keeps_setgid_and_group(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    group = other_group()
    os.chown(tmp_path, -1, group)
    tmp_path.chmod(0o2770)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "made"))
    path = own_place()
    with Store(path, share_with_group=True) as store:
        store.builds()
        made = [path.parent.parent, path.parent, *path.parent.iterdir()]
        assert {each.stat().st_gid for each in made} == {group}
    assert (mode(path.parent.parent), mode(path.parent), mode(path)) == (0o2770, 0o2770, 0o660)


@posix
def test_an_existing_store_is_shared_too(tmp_path: Path) -> None:
    group = other_group()
    path = tmp_path / "builds.sqlite"
    Store(path).close()
    assert mode(path) == 0o600
    os.chown(tmp_path, -1, group)
    tmp_path.chmod(0o2770)
    Store(path, share_with_group=True).close()
    assert (mode(path), path.stat().st_gid) == (0o660, group)


@posix
def test_a_folder_that_does_not_share_is_told(tmp_path: Path) -> None:
    tmp_path.chmod(0o755)
    with Store(tmp_path / "builds.sqlite", share_with_group=True) as store:
        assert "Others cannot use this store yet" in store.notice
        assert f"chmod g+rwxs {tmp_path}" in store.notice
    with Store(tmp_path / "builds.sqlite") as store:
        assert store.notice == ""


@posix
@pytest.mark.parametrize("alone", [True, False])
def test_a_group_of_one_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, alone: bool
) -> None:
    tmp_path.chmod(0o2770)
    monkeypatch.setattr("storage.store.on_file.sharing._others_in", lambda group: not alone)
    with Store(tmp_path / "builds.sqlite", share_with_group=True) as store:
        assert ("you are alone in its group" in store.notice) is alone


@posix
def test_only_the_owner_shares(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "builds.sqlite"
    Store(path).close()
    monkeypatch.setattr("storage.store.on_file.sharing.os.geteuid", lambda: path.stat().st_uid + 1)
    with Store(path, share_with_group=True) as store:
        assert "is not shared: only its owner, " in store.notice
    assert mode(path) == 0o600


@posix
def test_a_home_folder_is_not_to_be_opened_to_a_group(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    tmp_path.chmod(0o700)
    with Store(tmp_path / "builds.sqlite", share_with_group=True) as store:
        assert "put it into a folder of its own" in store.notice
        assert "chmod" not in store.notice


@posix
def test_what_is_to_be_done_is_said_to_whoever_can_do_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tmp_path.chmod(0o770)
    owner = pwd.getpwuid(tmp_path.stat().st_uid).pw_name
    monkeypatch.setattr(sharing, "_others_in", lambda group: True)
    path = tmp_path / "builds.sqlite"
    with Store(path, share_with_group=True) as store:
        assert f": chmod g+rwxs {tmp_path}, then" in store.notice, "its group is right as it is"
    monkeypatch.setattr("storage.store.on_file.sharing.os.geteuid", lambda: path.stat().st_uid + 1)
    with Store(path, share_with_group=True) as store:
        assert f": let {owner} do chmod g+rwxs {tmp_path}, then" in store.notice


@posix
def test_a_store_that_is_another_s_alone_names_its_owner(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "builds.sqlite"
    Store(path).close()
    owner = pwd.getpwuid(path.stat().st_uid).pw_name
    allowed = os.access
    monkeypatch.setattr(
        "storage.store.on_file.sharing.os.access", lambda at, how: at != path and allowed(at, how)
    )

    def refuse(path: Path) -> None:
        raise sqlite3.OperationalError("unable to open database file")

    monkeypatch.setattr("storage.store.on_file.opening._open_read_only", refuse)
    with pytest.raises(StoreError, match=f"let {owner} share it with mainrun --group"):
        Store(path)


@posix
def test_a_folder_that_is_closed_names_its_group(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    group = grp.getgrgid(folder.stat().st_gid).gr_name
    allowed = os.access
    monkeypatch.setattr(
        "storage.store.on_file.sharing.os.access", lambda at, how: at != folder and allowed(at, how)
    )

    def refuse(path: Path, share: bool) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr("storage.store.on_file.opening._create", refuse)
    with pytest.raises(StoreError, match=f"the group {group}: let yourself be put into that group"):
        Store(folder / "builds.sqlite")
