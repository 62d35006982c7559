"""How files that were written here are fetched from the machine that the user sits at."""

import getpass
import shlex
from collections.abc import Mapping, Sequence
from contextlib import suppress
from os.path import commonprefix
from pathlib import Path

MOST_NAMED = 2
"""More files than this are fetched by what their names have in common."""


def fetch_line(paths: Sequence[Path], environ: Mapping[str, str]) -> str:
    """The ``scp`` command for these files; empty where the session does not come over SSH.

    Address and port are those that the session came in by (``SSH_CONNECTION``).
    """
    parts = environ.get("SSH_CONNECTION", "").split()
    if len(parts) != 4 or not paths:
        return ""
    host, port = parts[2], parts[3]
    if ":" in host:
        host = f"[{host}]"
    user = environ.get("USER") or _user()
    where = f"{user}@{host}" if user else host
    words = ["scp"]
    if port != "22":
        words += ["-P", port]
    wanted = [str(path.absolute()) for path in paths]
    if len(wanted) > MOST_NAMED:
        wanted = _together(paths)
        if not wanted[0].endswith("*"):
            words.append("-r")
    return " ".join([*words, *(shlex.quote(f"{where}:{path}") for path in wanted), "."])


def _together(paths: Sequence[Path]) -> list[str]:
    """What all names begin with, and a star; the folders where that says nothing."""
    folders = sorted({str(path.absolute().parent) for path in paths})
    start = commonprefix([path.name for path in paths])  # noqa: RUF071 - names, not paths
    if len(folders) == 1 and start and not set("*?[]\\\"'`$") & set(folders[0] + start):
        return [f"{folders[0]}/{start}*"]
    return folders


def _user() -> str:
    with suppress(OSError, KeyError, ImportError):
        return getpass.getuser()
    return ""
