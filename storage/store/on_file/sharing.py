"""A store that a group of users shares: what its file and folder need for that.

SQLite makes files beside that of the store, for every user their own: all must get the group of
the folder (setgid), and the folder must take files from everyone in it.
"""

import os
import stat
from pathlib import Path

FILE_MODE = 0o660
"""Readable and writable for owner and group."""

FOLDER_MODE = stat.S_ISGID | 0o770
"""The same for a folder, which gives its group to what is made in it."""


def share_folder(folder: Path) -> None:
    """Share a folder that was just made; it keeps the group that it was made with."""
    folder.chmod(FOLDER_MODE)


def share_store(path: Path) -> str:
    """Share the file of a store, and say why others can still not use it, and what to do.

    Empty: everyone in the group of its folder can. Only its owner can share it.
    """
    if not all(hasattr(os, name) for name in ("geteuid", "chown")):
        return "This system has no groups as --group means them: share the folder in its own way"
    file, folder = path.stat(), path.parent.stat()
    if stat.S_IMODE(file.st_mode) != FILE_MODE or file.st_gid != folder.st_gid:
        if os.geteuid() not in (file.st_uid, 0):
            if stat.S_IMODE(file.st_mode) & 0o060 == 0o060 and file.st_gid == folder.st_gid:
                return ""
            return (
                f"{path} is not shared: only its owner, {_user(file.st_uid)}, can do that with "
                "mainrun --group"
            )
        side_files = (path.with_name(path.name + end) for end in ("-wal", "-shm"))
        for each in (path, *(side for side in side_files if side.exists())):
            try:
                os.chown(each, -1, folder.st_gid)
                each.chmod(FILE_MODE)
            except OSError as error:
                return f"{path} is not shared: {error.strerror}"
    return _folder_trouble(path.parent, folder)


def closed_to_us(path: Path) -> str:
    """Why this user may not read a file of a store, and what to do; empty: it may be read."""
    if os.access(path, os.R_OK) or not hasattr(os, "geteuid"):
        return ""
    file = path.stat()
    return (
        f"the store {path} may not be read by you, it is {_user(file.st_uid)}'s: let "
        f"{_user(file.st_uid)} share it with mainrun --group, once, where you are in the group of "
        f"its folder, {_group(path.parent.stat().st_gid)}"
    )


def shut_folder(path: Path) -> str:
    """What to do where a path leads through a folder that this user may not look into, or empty."""
    for folder in reversed(path.absolute().parents):
        try:
            found = folder.stat()
        except OSError:
            return ""
        if not stat.S_ISDIR(found.st_mode) or not hasattr(os, "geteuid"):
            return ""
        if not os.access(folder, os.X_OK):
            return (
                f"{folder} is open to {_user(found.st_uid)} and the group {_group(found.st_gid)}: "
                "let yourself be put into that group, and log in anew"
            )
    return ""


def _folder_trouble(path: Path, folder: os.stat_result) -> str:
    group = _group(folder.st_gid)
    wanted = stat.S_IMODE(folder.st_mode) & FOLDER_MODE == FOLDER_MODE
    alone = not _others_in(folder.st_gid)
    change = (f"chgrp GROUP {path} && " if alone else "") + f"chmod g+rwxs {path}"
    if not wanted and path == Path.home():
        return (
            "Others cannot use this store yet: it is in your home folder, which nobody else should "
            "write to: put it into a folder of its own that a group shares"
        )
    if not wanted:
        who = "" if os.geteuid() in (folder.st_uid, 0) else f"let {_user(folder.st_uid)} do "
        return (
            f"Others cannot use this store yet: its folder does not take files of the group {group}"
            f": {who}{change}, then mainrun --group once more"
        )
    if alone:
        return (
            f"Nobody else can use this store yet: you are alone in its group {group}: "
            f"chgrp GROUP {path}, then mainrun --group once more"
        )
    return ""


def _others_in(group: int) -> bool:
    """Whether someone else than this user is in a group."""
    try:
        import grp
        import pwd
    except ImportError:
        return True  # nobody can be asked

    me = os.geteuid()
    try:
        named = set(grp.getgrgid(group).gr_mem)
    except KeyError:
        return True  # known to another system perhaps; nobody can be asked
    return any(
        user.pw_uid != me and (user.pw_gid == group or user.pw_name in named)
        for user in pwd.getpwall()
    )


def _group(number: int) -> str:
    try:
        import grp

        return grp.getgrgid(number).gr_name
    except (ImportError, KeyError):
        return str(number)


def _user(number: int) -> str:
    try:
        import pwd

        return pwd.getpwuid(number).pw_name
    except (ImportError, KeyError):
        return str(number)
