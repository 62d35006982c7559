"""The connection to a server, made anew when it was lost.

The server may be restarted, or the network be gone for a while. Whoever begins a transaction gets
a connection that stands, or a sentence; nobody waits for ever on one that does not answer.
"""

import threading
from collections.abc import Callable, Generator
from contextlib import suppress
from time import monotonic
from typing import Any

import psycopg
from psycopg import errors
from psycopg.conninfo import conninfo_to_dict, make_conninfo

from storage.errors import StoreAway, StoreError
from storage.store.location import Server
from storage.store.on_server.errors import away, cleaned, is_away, sentence

SLOW_S = 10.0
"""A server that does not answer for this long counts as away [s]."""

TOLD_S = 0.7
"""Whoever waits for a server longer than this is told so [s]."""

LOCK_S = 30.0
"""How long to wait for others that write to the same document: first come, first served [s]."""

AGAIN_S = 1.0
"""How often a server that is away is tried behind the user's back [s]."""

_DEFAULTS = {
    "application_name": "mainrun",
    "connect_timeout": "4",
    "keepalives_idle": "10",
    "keepalives_interval": "5",
    "keepalives_count": "3",
}
"""What a connection has that its address does not say otherwise."""

_SESSION = (
    f"SET lock_timeout = {int(LOCK_S * 1000)}; "
    f"SET idle_in_transaction_session_timeout = {int(2 * SLOW_S * 1000)}; "
    "SET client_encoding = 'UTF8'"
)
"""A session that has died in a transaction does not hold its lock for long."""


class Patient(psycopg.Connection[Any]):
    """A connection that is given up where it does not answer in time."""

    in_queue = False
    """Whether it is others that are waited for, not the server."""

    while_waiting: Callable[[], None] | None = None
    """Called again and again, where it waits, once that takes long."""

    def wait(self, gen: Any, interval: float = 0.1, timeout: float | None = None) -> Any:
        """Wait for an answer."""
        if timeout is not None:
            return super().wait(gen, interval, timeout)
        patience = SLOW_S + LOCK_S if self.in_queue else SLOW_S
        try:
            return super().wait(self._told(gen), interval, patience)
        except errors._WaitTimeout:
            self.close()
            raise psycopg.OperationalError(f"it did not answer for {patience:g} s") from None

    def _told(self, gen: Any) -> Generator[Any, Any, Any]:
        """The same steps; where nothing has come for long, whoever waits hears of it."""
        began = monotonic()
        try:
            step = next(gen)
            while True:
                ready = yield step
                if not ready and self.while_waiting and monotonic() > began + TOLD_S:
                    self.while_waiting()
                step = gen.send(ready)
        except StopIteration as end:
            return end.value


class Link:
    """The one connection of a store; whoever uses it holds the store's lock."""

    def __init__(self, server: Server) -> None:
        self._server = server
        self.while_waiting: Callable[[], None] | None = None
        """As that of the connection, whichever it is."""
        self.connection = self._connected()
        self.channel = ""
        """Where sessions tell each other that they have written; empty: not known yet."""
        self._fresh: Patient | None = None
        """A connection that was made behind the user's back."""
        self._trying: threading.Thread | None = None
        self._tried = 0.0
        self._told = False
        """Whether another session has told that it has written."""

    @property
    def lost(self) -> bool:
        """Whether the connection is known to be lost."""
        return bool(self.connection.closed)

    def listen(self, channel: str) -> None:
        """Hear of what others write from now on."""
        self.channel = channel
        self.run(f"LISTEN {channel}")

    def run(self, statement: str) -> psycopg.Cursor[Any]:
        """Run a statement as it stands."""
        return self.connection.execute(statement.encode())

    def begin(self, statement: str) -> bool:
        """Begin a transaction, on a new connection where the old one is lost; whether it was.

        Nothing has happened in it yet, so that it can be begun again without any harm.
        """
        if not self.lost:
            try:
                self.run(statement)
            except psycopg.Error as error:
                if not is_away(error, self.connection):
                    raise
                self.connection.close()
            else:
                return False
        self.renew()
        self.run(statement)
        return True

    def renew(self) -> None:
        """Take a new connection; ``StoreAway`` where there is none to be had."""
        self.connection.close()
        fresh, self._fresh = self._fresh, None
        if fresh is None:
            self.waits()
        self.connection = self._connected() if fresh is None or fresh.closed else fresh
        self._told = True  # nobody knows what others did meanwhile
        if self.channel:
            self.run(f"LISTEN {self.channel}")

    def told(self) -> bool:
        """Whether others have written since this was last asked. Never waits.

        ``StoreAway`` while the connection is lost: a new one is then looked for beside.
        """
        if self.lost:
            if self._fresh is None:
                self._try_beside()
                raise away("the connection is lost", self._server)
            self.renew()
        try:
            for each in self.connection.notifies(timeout=0):
                if each.pid != self.connection.info.backend_pid:
                    self._told = True
        except psycopg.Error as error:
            if is_away(error, self.connection):
                self.connection.close()
            raise
        told, self._told = self._told, False
        return told

    def sentence(self, error: psycopg.Error) -> StoreError:
        """The sentence for an error on this connection."""
        return sentence(error, self._server, self.connection)

    def close(self) -> None:
        """Let go of the server."""
        self.connection.close()
        if self._fresh is not None:
            self._fresh.close()

    def _connected(self) -> Patient:
        try:
            given = conninfo_to_dict(self._server.address)
            wanted = {name: value for name, value in _DEFAULTS.items() if name not in given}
            connection = Patient.connect(
                make_conninfo(self._server.address, **wanted), autocommit=True
            )
            connection.while_waiting = self.waits
            connection.execute(_SESSION.encode())
        except psycopg.OperationalError as error:
            raise _refused(error, self._server) from None
        except psycopg.Error as error:
            raise StoreError(
                f"the address of the store {self._server} cannot be used: "
                f"{cleaned(str(error), self._server)}"
            ) from None
        return connection

    def waits(self) -> None:
        """Somebody waits."""
        if self.while_waiting is not None:
            self.while_waiting()

    def _try_beside(self) -> None:
        trying = self._trying is not None and self._trying.is_alive()
        if trying or monotonic() < self._tried + AGAIN_S:
            return
        self._tried = monotonic()
        self._trying = threading.Thread(target=self._try, daemon=True)
        self._trying.start()

    def _try(self) -> None:
        with suppress(StoreError):
            self._fresh = self._connected()


def _refused(error: psycopg.OperationalError, server: Server) -> StoreError:
    said = cleaned(str(error), server)
    if "password" in said or "authentication" in said:
        return StoreError(
            f"the server of the store {server} does not let you in: name the user in the address, "
            "and put the password into ~/.pgpass, PGPASSWORD or a service file "
            f"({said})"
        )
    return StoreAway(
        f"the server of the store {server} cannot be reached, nothing was saved: try again when it "
        f"is back ({said})"
    )
