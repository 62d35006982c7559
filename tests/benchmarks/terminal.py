"""A program under a pseudo-terminal: keys in, bytes and moments out. It answers no query."""

import fcntl
import os
import pty
import re
import select
import struct
import subprocess
import termios
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Self

ROOT = Path(__file__).parents[2]
PATIENCE_S = 20.0
"""No program may keep us waiting longer, however busy the machine is."""

_CONTROL = re.compile(
    rb"\x1b\[[0-?]*[ -/]*[@-~]|\x1b[\]P_^].*?(?:\x07|\x1b\\)|\x1b[ -/]*[0-~]", re.DOTALL
)


_waited_s = 0.0


def clock() -> float:
    """A clock that stands still while we only wait to be sure that a program is quiet [s]."""
    return time.perf_counter() - _waited_s


class TerminalError(AssertionError):
    """The program ended or kept silent when it should have shown something."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a program wrote after a key, until it was quiet."""

    bytes: int
    """Everything written, control sequences too."""
    first_s: float
    """From the key to the first bytes."""
    settled_s: float
    """From the key to the last bytes."""
    text: str
    """The characters written, without control sequences."""


class Terminal:
    """Starts a command under a pseudo-terminal of the given size; a context manager."""

    def __init__(
        self,
        command: Sequence[str],
        *,
        columns: int = 120,
        rows: int = 40,
        environment: Mapping[str, str] | None = None,
    ) -> None:
        self._master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        os.set_blocking(self._master, False)
        dropped = {"NO_COLOR", "COLUMNS", "LINES", "COLORTERM", "MAINRUN_STORE"}
        clean = {k: v for k, v in os.environ.items() if k not in dropped and "TEXTUAL" not in k}
        self._seen = b""
        self.closed = False
        self.started_s = time.perf_counter()
        try:
            self.process = subprocess.Popen(
                command,
                cwd=ROOT,
                stdin=slave,
                stdout=slave,
                stderr=slave,
                start_new_session=True,
                env={**clean, "TERM": "xterm-256color", **(environment or {})},
            )
        except BaseException:
            os.close(self._master)
            raise
        finally:
            os.close(slave)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def until(self, *texts: str) -> float:
        """Seconds from the start of the program until all the texts have been written."""
        deadline = time.perf_counter() + PATIENCE_S
        wanted = [text.encode() for text in texts]
        while True:
            self._take(deadline - time.perf_counter())
            now = time.perf_counter()
            shown = _CONTROL.sub(b"", self._seen)
            if all(text in shown for text in wanted):
                return now - self.started_s
            missing = [text.decode() for text in wanted if text not in shown]
            if self.process.poll() is not None and not self._take(0):
                raise TerminalError(f"the program ended without showing {missing}:\n{self.text()}")
            if now > deadline:
                raise TerminalError(f"{missing} never came:\n{self.text()}")

    def press(self, keys: bytes, *, quiet_s: float = 0.2) -> Answer:
        """Send keys and take everything that is written until nothing comes for ``quiet_s``.

        Waits long for the first byte, so that a busy machine gives a late answer, not none;
        ``TerminalError`` when nothing comes at all.
        """
        self.settle(0.0)
        start = time.perf_counter()
        os.write(self._master, keys)
        return self._listen(start, quiet_s)

    def settle(self, quiet_s: float = 0.5) -> None:
        """Take and forget everything until nothing comes for ``quiet_s``."""
        deadline = time.perf_counter() + PATIENCE_S
        while self._take(quiet_s):
            if time.perf_counter() > deadline:
                raise TerminalError(f"the program is never quiet for {quiet_s} s")

    def rest(self, span_s: float) -> int:
        """Bytes that are written within ``span_s`` although no key is pressed."""
        end = time.perf_counter() + span_s
        count = 0
        while (left := end - time.perf_counter()) > 0:
            count += len(self._take(left))
        return count

    def text(self) -> str:
        """The last characters written, without control sequences, for messages."""
        return _CONTROL.sub(b"", self._seen).decode(errors="replace")[-4000:]

    def close(self) -> None:
        """End the program; once is enough, more does no harm."""
        if self.closed:
            return
        self.closed = True
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        os.close(self._master)

    def _listen(self, start: float, quiet_s: float) -> Answer:
        global _waited_s  # noqa: PLW0603 - one clock for all terminals of a benchmark
        got = b""
        first = last = 0.0
        while chunk := self._take(quiet_s if got else PATIENCE_S):
            last = time.perf_counter() - start
            first = first or last
            got += chunk
            if last > PATIENCE_S:
                raise TerminalError(f"the program is never quiet for {quiet_s} s")
        if not got:
            raise TerminalError(f"the key was not answered:\n{self.text()}")
        _waited_s += time.perf_counter() - start - last
        text = _CONTROL.sub(b"", got).decode(errors="replace")
        return Answer(len(got), first, last, text)

    def _take(self, wait_s: float) -> bytes:
        """The next bytes, or nothing when none come in time or the program has ended."""
        ready, _, _ = select.select([self._master], [], [], max(wait_s, 0.0))
        if not ready:
            return b""
        try:
            chunk = os.read(self._master, 1 << 16)
        except (BlockingIOError, OSError):
            return b""
        self._seen = (self._seen + chunk)[-(1 << 20) :]
        return chunk
