"""The program on a pseudo-terminal of its own: bytes in as a terminal sends them, bytes out."""

import fcntl
import os
import pty
import selectors
import signal
import struct
import subprocess
import sys
import termios
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType

import pyte

PATIENCE_S = 60.0
"""For how long a word on the screen is waited for, on however loaded a machine [s]."""


class Terminal:
    """Runs the command line with these arguments over a store, on a screen of 100 x 30."""

    def __init__(
        self,
        store: Path,
        *arguments: str,
        program: Sequence[str] = ("-m", "tui.commands.main"),
        **environment: str,
    ) -> None:
        self._ours, theirs = pty.openpty()
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 30, 100, 0, 0))
        self.process = subprocess.Popen(
            [sys.executable, *program, "--store", str(store), *arguments],
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            env={**os.environ, "TERM": "xterm", **environment},
            start_new_session=True,
            preexec_fn=lambda: fcntl.ioctl(theirs, termios.TIOCSCTTY, 0),  # noqa: PLW1509
        )
        os.close(theirs)
        self._screen = pyte.Screen(100, 30)
        """What is seen: of a word, only letters that differ from those before are sent."""
        self._stream = pyte.ByteStream(self._screen)
        self.shown = b""
        """What was sent to the screen since a word was last waited for."""
        self.before = b""
        """What was sent until then."""

    def __enter__(self) -> "Terminal":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: object, trace: TracebackType | None
    ) -> None:
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGKILL)
            self.process.wait()
        self.close()

    def close(self) -> None:
        """The terminal's window is closed."""
        if self._ours >= 0:
            os.close(self._ours)
            self._ours = -1

    def send(self, content: bytes) -> None:
        """Type or paste these bytes; what is shown meanwhile is read, so that neither waits."""
        os.set_blocking(self._ours, False)
        with selectors.DefaultSelector() as selector:
            selector.register(self._ours, selectors.EVENT_READ | selectors.EVENT_WRITE)
            while content:
                for _, ready in selector.select(PATIENCE_S):
                    if ready & selectors.EVENT_READ:
                        self._take(os.read(self._ours, 65536))
                    if ready & selectors.EVENT_WRITE:
                        content = content[os.write(self._ours, content[:4096]) :]

    def _take(self, content: bytes) -> None:
        self.shown += content
        self._stream.feed(content)

    def until(self, word: str) -> None:
        """Wait until this is seen on the screen."""
        with selectors.DefaultSelector() as selector:
            selector.register(self._ours, selectors.EVENT_READ)
            while not any(word in line for line in self._screen.display):
                assert selector.select(PATIENCE_S), f"{word!r} was never shown"
                self._take(os.read(self._ours, 65536))
        self.before += self.shown
        self.shown = b""

    def ended(self) -> int:
        """Wait for the end, reading on; its exit code."""
        with selectors.DefaultSelector() as selector:
            selector.register(self._ours, selectors.EVENT_READ)
            while selector.select(PATIENCE_S):
                try:
                    more = os.read(self._ours, 65536)
                except OSError:  # Linux says so where the other side was closed
                    break
                if not more:
                    break
                self._take(more)
        return self.process.wait(PATIENCE_S)
