"""A line between a store and its server that can fail at the moment that a test chooses."""

import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress


class Between:
    """Hands on what either side says, as long as nothing else is set."""

    def __init__(self, port: int) -> None:
        self._port = port
        self._door = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._door.getsockname()[1])
        self.refuses = False
        """Nobody gets through, as where a server is away."""
        self.is_deaf = False
        """Nothing is handed on, as where a server hangs."""
        self.cuts: str | None = None
        """Cut the line at the next COMMIT, "before" or "after" the server has heard it."""
        self.stays_away = False
        """Whether nobody gets through after that cut."""
        self._lines: list[socket.socket] = []
        self._threads: list[threading.Thread] = []
        self._start(self._accept)

    def _start(self, work: Callable[..., None], *given: object) -> None:
        thread = threading.Thread(target=work, args=given, daemon=True)
        self._threads.append(thread)
        thread.start()

    def hang_up(self) -> None:
        """Cut every line."""
        for line in self._lines:
            with suppress(OSError):
                line.shutdown(socket.SHUT_RDWR)

    def close(self) -> None:
        self.refuses, self.is_deaf = True, False
        with suppress(OSError):
            self._door.shutdown(socket.SHUT_RDWR)
        self._door.close()
        self.hang_up()
        for thread in self._threads:
            thread.join(10)

    def _accept(self) -> None:
        while True:
            try:
                caller, _ = self._door.accept()
            except OSError:
                return
            if self.refuses:
                caller.close()
                continue
            server = socket.create_connection(("127.0.0.1", self._port))
            self._lines += [caller, server]
            for one, other, up in ((caller, server, True), (server, caller, False)):
                self._start(self._hand_on, one, other, up)

    def _hand_on(self, one: socket.socket, other: socket.socket, up: bool) -> None:
        with suppress(OSError):
            while said := one.recv(65536):
                while self.is_deaf:
                    time.sleep(0.02)
                if up and self.cuts and b"COMMIT\0" in said:
                    after, self.cuts = self.cuts == "after", None
                    self.refuses = self.stays_away
                    one.shutdown(socket.SHUT_RDWR)  # first: it hears no answer
                    if after:
                        other.sendall(said)
                        time.sleep(0.2)
                    break
                other.sendall(said)
        for line in (one, other):
            with suppress(OSError):
                line.shutdown(socket.SHUT_RDWR)
        one.close()


@contextmanager
def between(port: int) -> Iterator[Between]:
    """A line to the server at a port of this machine."""
    line = Between(port)
    try:
        yield line
    finally:
        line.close()
