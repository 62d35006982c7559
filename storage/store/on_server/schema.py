"""A store in a schema of a PostgreSQL server: transactions on one connection.

Sessions write one after the other to one document and beside each other to different ones. A
transaction whose end was not heard, because the connection was lost over it, is looked for by its
line in the journal before anything else is written: nothing is saved twice, and nothing that was
saved is called lost.
"""

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from time import monotonic, sleep

import psycopg

from storage.errors import StoreAway, StoreError
from storage.store.database import Reading, Writing, Written
from storage.store.location import Server
from storage.store.on_server import layout
from storage.store.on_server.errors import away, is_away
from storage.store.on_server.link import TOLD_S, Link
from storage.store.on_server.rows import ServerReading, ServerWriting

SETTLE_S = 6.0
"""How long to wait at once for a server that went away while it saved [s]."""

UNHURRIED_S = 0.05
"""How long to wait for a lock to write what may as well be missing [s]."""

_READ = "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY"


class Schema:
    """The schema of a store, safe to use from several threads; as ``Database`` says."""

    def __init__(self, server: Server, *, make: bool) -> None:
        self._server = server
        self._lock = threading.RLock()
        self.link = Link(server)
        self._unsure: tuple[Written, str] | None = None
        """The line of which nobody has heard whether it was saved, and what it is about."""
        try:
            with self._sentences():
                found, kept = layout.bring_up_to_date(self._reading(), server, make=make)
                self._table = int(self._reading().execute(_TABLE).fetchone()[0])
                self.link.listen(f"mainrun_{self._table}")
        except BaseException:
            self.link.close()
            raise
        self.read_only = not found.writable
        newer = "The store was brought to a newer layout; as it was it is kept in the schema"
        self.notice = f"{newer} {kept}" if kept else ""

    @contextmanager
    def reading(self) -> Iterator[Reading]:
        """One read transaction: everything read in it is of one moment."""
        with self._held(), self._sentences():
            self.link.begin(_READ)
            try:
                yield self._reading()
            finally:
                self._end("COMMIT")

    @contextmanager
    def writing(self, whose: str = "") -> Iterator[Writing]:
        """One write transaction, the only one about what ``whose`` names."""
        if self.read_only:
            raise StoreError(
                f"the store {self._server} may only be read, nothing was saved: ask its owner for "
                "the right to write to it, or export the build and import it into another store"
            )
        with self._held(), self._sentences():
            self._settle_before()
            self.link.begin("BEGIN")
            try:
                self._take(whose)
                writing = ServerWriting(self.link.connection, self.link.sentence)
                yield writing
                self._commit(writing.line, whose)
            finally:
                self._end("ROLLBACK")

    def quietly(self, write: Callable[[Reading], object]) -> None:
        """Write what may as well be missing: nobody waits for it, and no failure is told."""
        with self._lock, suppress(StoreError, psycopg.Error):
            if self.link.lost:
                return
            self.link.run("BEGIN")
            try:
                self.link.run(f"SET LOCAL lock_timeout = {int(UNHURRIED_S * 1000)}")
                write(self._reading())
                self._tell()
                self.link.run("COMMIT")
            finally:
                self._end("ROLLBACK")

    def moved(self) -> bool:
        """Whether another session has told that it has written; the server is not asked."""
        if not self._lock.acquire(blocking=False):
            return False  # a thread is at work on the connection: next time
        try:
            with self._sentences():
                return self.link.told()
        finally:
            self._lock.release()

    def on_waiting(self, told: Callable[[], None]) -> bool:
        """Call this again and again in a thread that waits long for the server."""
        self.link.while_waiting = told
        return True

    def damage(self, reading: Reading, most: int) -> Iterator[str]:
        """A server looks after its own pages, and after rows of builds that are not there."""
        yield from ()

    def fill(self, empty: Path) -> bool:
        """No file: its rows are copied one by one."""
        return False

    def numbered(self, writing: Writing) -> None:
        """Later builds get the keys after the highest."""
        writing.execute(
            "SELECT setval(pg_get_serial_sequence('build', 'key'), max(key)) FROM build "
            "HAVING max(key) IS NOT NULL"
        )

    def close(self) -> None:
        """Let go of the server."""
        with self._lock:
            self.link.close()

    # Below

    def _reading(self) -> ServerReading:
        return ServerReading(self.link.connection, self.link.sentence)

    def _take(self, whose: str) -> None:
        """Wait for the right to write to a document, until the end of the transaction."""
        self.link.connection.in_queue = True
        try:
            self._reading().execute(
                "SELECT pg_advisory_xact_lock(?, hashtext(?))", (self._table % 2**31, whose)
            )
        finally:
            self.link.connection.in_queue = False

    def _tell(self) -> None:
        """Others hear of it when, and only when, the transaction is saved."""
        self.link.run(f"NOTIFY {self.link.channel}")

    def _commit(self, line: Written | None, whose: str) -> None:
        self._tell()
        try:
            self.link.run("COMMIT")
        except psycopg.Error as error:
            if not is_away(error, self.link.connection) or line is None:
                raise
            self._unsure = line, whose
            if not self._settle():
                raise away(error, self._server) from None

    def _settle(self) -> bool:
        """Whether the line that was being saved when the connection was lost stands there.

        Under its document's lock: whoever was about to write it is done by then.
        """
        assert self._unsure is not None
        line, whose = self._unsure
        until = monotonic() + SETTLE_S
        while True:
            try:
                self.link.begin("BEGIN")
                try:
                    self._take(whose)
                    stands = line.stands(self._reading())
                finally:
                    self._end("ROLLBACK")
            except StoreAway as error:
                if monotonic() > until:
                    raise StoreAway(
                        f"the server of the store {self._server} went away while it saved: whether "
                        f"it did is seen when it is back ({line.label})"
                    ) from error
                sleep(0.2)
            else:
                self._unsure = None
                return stands

    def _settle_before(self) -> None:
        """Nothing is written while it is not known whether what was before it was saved."""
        if self._unsure is None:
            return
        label = self._unsure[0].label
        if self._settle():
            raise StoreError(
                f"{label}: that was saved before the server went away, nothing was saved now: look "
                "at it, and make again only what is missing"
            )

    def _end(self, how: str) -> None:
        """End the transaction, if it is still open."""
        with suppress(psycopg.Error):
            if self.link.connection.info.transaction_status != psycopg.pq.TransactionStatus.IDLE:
                self.link.run(how)

    @contextmanager
    def _held(self) -> Iterator[None]:
        """Alone on the connection, when another thread that waits for the server is done."""
        if not self._lock.acquire(timeout=TOLD_S):
            self.link.waits()
            self._lock.acquire()
        try:
            yield
        finally:
            self._lock.release()

    @contextmanager
    def _sentences(self) -> Iterator[None]:
        try:
            yield
        except psycopg.Error as error:
            raise self.link.sentence(error) from error


_TABLE = "SELECT 'build'::regclass::oid::bigint"
