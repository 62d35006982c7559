"""What is pasted into the terminal is text: no key of the program is ever pressed by it.

A terminal puts a mark before and after what is pasted. Textual's own parser reads what stands
between them key by key, and takes an escape in there for the beginning of one, so that control
characters behind it would start actions. Here the marks are looked for first, and what stands
between them goes past the parser.
"""

import codecs
import os
import selectors
from collections.abc import Iterable
from contextlib import suppress
from typing import IO, Any, cast

from textual._ansi_sequences import ANSI_SEQUENCES_KEYS
from textual._xterm_parser import BRACKETED_PASTE_END, BRACKETED_PASTE_START, XTermParser
from textual.app import App
from textual.drivers.linux_driver import LinuxDriver
from textual.events import Paste
from textual.message import Message

from domain.patterns import Pattern

READ_BYTES = 65536
"""Read at once; a paste comes in as few pieces as the terminal sends."""

WAIT_S = 0.1
"""How long to wait for input before a lone escape is taken for the key [s]."""

_SEQUENCES = Pattern(
    "\x1b\\[[0-?]*[ -/]*[@-~]?"  # control sequences, as colours and keys
    "|\x1b[]PX^_][^\x1b\x07]*(?:\x07|\x1b\\\\)"  # strings to the terminal, to their end
    "|\x1b[NO][ -~]?"  # one character of another set, as function keys
    "|\x1b[ -/]*[0-~]?"  # all other escapes
)
"""Escape sequences as ECMA-48 (5th edition, 5.3 to 5.6; from memory) builds them."""

_CONTROLS = Pattern("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
"""Control characters but tab and the ends of lines."""


for _digit in "0123456789":
    # Textual takes alt+1 for the sign that one keyboard of one system types with it.
    cast(dict[str, Any], ANSI_SEQUENCES_KEYS).pop(f"\x1b{_digit}", None)


def pasted_text(text: str) -> str:
    """What was pasted without escape sequences and control characters; lines and tabs stay."""
    return _CONTROLS.sub("", _SEQUENCES.sub("", text))


class PasteParser(XTermParser):
    """Gives what is pasted as one paste; everything else as its base does."""

    def __init__(self, debug: bool = False) -> None:
        super().__init__(debug)
        self._pasted: list[str] | None = None
        """What came since the mark before a paste; ``None``: outside of one."""
        self._tail = ""
        """The last characters that came, in which a mark may have begun."""

    def feed(self, data: str) -> Iterable[Message]:
        """Take characters in the order they came, in pieces cut anywhere."""
        if not data:
            yield from super().feed(data)
        while data:
            if self._pasted is None:
                before, data, found = self._until(BRACKETED_PASTE_START, data)
                yield from super().feed(before)
                if found:
                    self._pasted = []
            else:
                before, data, found = self._until(BRACKETED_PASTE_END, data)
                self._pasted.append(before)
                if found:
                    text = "".join(self._pasted)[: -len(BRACKETED_PASTE_END)]
                    self._pasted = None
                    for _ in super().feed(BRACKETED_PASTE_END):
                        pass  # the parser's own paste, which is empty
                    yield Paste(pasted_text(text))

    def _until(self, mark: str, data: str) -> tuple[str, str, bool]:
        """What comes up to the end of a mark, what comes after it, and whether it came."""
        known = self._tail + data
        place = known.find(mark)
        if place < 0:
            self._tail = known[1 - len(mark) :]
            return data, "", False
        end = place + len(mark) - len(self._tail)
        self._tail = ""
        return data[:end], data[end:], True


class Closed(Message):
    """The terminal was closed."""


class Screen:
    """The terminal's side to write to; what is written after it was closed is dropped.

    Textual's writing thread would end with the first error, and whoever writes more than it
    queues would then wait for ever.
    """

    def __init__(self, file: IO[str]) -> None:
        self._file = file

    def fileno(self) -> int:
        """The number of the file below."""
        return self._file.fileno()

    def write(self, text: str) -> None:
        """Write to the terminal while it is there."""
        with suppress(OSError):
            self._file.write(text)

    def flush(self) -> None:
        """Send what was written while the terminal is there."""
        with suppress(OSError):
            self._file.flush()


class TerminalDriver(LinuxDriver):
    """Textual's driver with the parser above, and a screen that may be gone."""

    def __init__(
        self,
        app: App[object],
        *,
        debug: bool = False,
        mouse: bool = True,
        size: tuple[int, int] | None = None,
    ) -> None:
        super().__init__(app, debug=debug, mouse=mouse, size=size)
        self._file = cast(Any, Screen(cast(IO[str], self._file)))

    def run_input_thread(self) -> None:
        """Read from the terminal until the program ends."""
        parser = PasteParser(self._debug)
        decode = codecs.getincrementaldecoder("utf-8")(errors="replace").decode
        with selectors.DefaultSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                if selector.select(WAIT_S):
                    content = self._read()
                    if not content:
                        self._app.post_message(Closed())
                        return
                    for message in parser.feed(decode(content)):
                        self.process_message(message)
                for message in parser.tick():
                    self.process_message(message)

    def _read(self) -> bytes:
        """What came; nothing where the terminal was closed."""
        try:
            return os.read(self.fileno, READ_BYTES)
        except OSError:
            return b""
