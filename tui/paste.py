"""What is pasted into the terminal is text, and what a terminal sends for a key is none.

A terminal puts a mark before and after what is pasted. Textual's own parser reads what stands
between them key by key, and takes an escape in there for the beginning of one, so that control
characters behind it would start actions. And an escape sequence that it does not know it takes
for letters that were typed: an answer that came late, or alt with a digit where the next key
comes at once. So sequences are told apart here, and it gets them one by one: what stands between
the marks goes past it, and what it does not know is dropped.
"""

import codecs
import os
import selectors
from collections.abc import Generator, Iterable
from contextlib import suppress
from time import monotonic
from typing import IO, Any, cast

from textual._ansi_sequences import ANSI_SEQUENCES_KEYS
from textual._xterm_parser import BRACKETED_PASTE_END, BRACKETED_PASTE_START, XTermParser
from textual.app import App
from textual.drivers.linux_driver import LinuxDriver
from textual.events import Key, Paste
from textual.message import Message

from domain.patterns import Pattern

READ_BYTES = 65536
"""Read at once; a paste comes in as few pieces as the terminal sends."""

WAIT_S = 0.1
"""How long to wait for input before a lone escape is taken for the key [s]."""

CUT_WAIT_S = 0.5
"""How long to wait for the rest of a sequence that a slow line has cut [s]."""

ESCAPE = "\x1b"

ANSWERS = "]P_"
"""What stands behind the escape where a terminal answers with a text."""

LONGEST = 32
"""Signs of the longest sequence that Textual takes for one."""

_SEQUENCES = Pattern(
    "\x1b\\[[0-?]*[ -/]*[@-~]?"  # control sequences, as colours and keys
    "|\x1b[]PX^_][^\x1b\x07]*(?:\x07|\x1b\\\\)"  # strings to the terminal, to their end
    "|\x1b[NO][ -~]?"  # one character of another set, as function keys
    "|\x1b[ -/]*[0-~]?"  # all other escapes
)
"""Escape sequences as ECMA-48 (5th edition, 5.3 to 5.6; from memory) builds them."""

_CONTROLS = Pattern("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
"""Control characters but tab and the ends of lines."""

_BEGUN = Pattern(
    "\x1b(?:"
    "\\[(?:[0-?]*[ -/]*|\\[|M[^\x00-\x1f]{0,2})"  # keys and answers; of consoles; clicks of old
    "|O[0-9;]*"  # function keys
    "|[]P_][^\x00-\x1f]*\x1b?"  # answers of any length
    ")?"
)
"""Sequences that terminals send, before their end."""

_WHOLE = Pattern(
    "\x1b(?:"
    "\\[(?:[0-?]*[ -/]*[@-~]|\\[[ -~]|M[^\x00-\x1f]{3})"
    "|O[0-9;]*[ -~]"
    "|[]P_][^\x00-\x1f]*(?:\x07|\x1b\\\\)"
    "|[^][OP_\x00-\x1f]"  # alt with a sign
    ")"
)
"""The same with it."""


def pasted_text(text: str) -> str:
    """What was pasted without escape sequences and control characters; lines and tabs stay."""
    return _CONTROLS.sub("", _SEQUENCES.sub("", text))


class PasteParser(XTermParser):
    """Gives what is pasted as one paste, and of sequences only keys; all else as its base does."""

    def __init__(self, debug: bool = False) -> None:
        super().__init__(debug)
        self._pasted: list[str] | None = None
        """What came since the mark before a paste; ``None``: outside of one."""
        self._tail = ""
        """The last characters of a paste, in which the mark behind it may have begun."""
        self._begun = ""
        """An escape sequence that has not come to its end."""
        self._came = 0.0
        """When the last of it came [s]."""

    def feed(self, data: str) -> Iterable[Message]:
        """Take characters in the order they came, in pieces cut anywhere."""
        if not data:
            yield from self._given_up()
            yield from super().feed(data)
        while data:
            if self._pasted is not None:
                data = yield from self._paste_on(self._pasted, data)
            elif self._begun:
                yield from self._go_on(data[0])
                data = data[1:]
            else:
                before, self._begun, data = data.partition(ESCAPE)
                if before:
                    yield from super().feed(before)
        self._came = monotonic()

    def tick(self) -> Iterable[Message]:
        """Nothing came for a while: a sequence that was begun may not go on any more."""
        wait = WAIT_S if self._begun == ESCAPE else CUT_WAIT_S
        if self._begun and monotonic() >= self._came + wait:
            yield from self._given_up()

    def _go_on(self, character: str) -> Iterable[Message]:
        """The next character of a sequence, or the first of what comes instead of its rest."""
        sequence = self._begun + character
        if sequence in ANSI_SEQUENCES_KEYS and sequence != ESCAPE * 2:
            self._begun = ""
            yield from self._known(sequence)
        elif _BEGUN.fullmatch(sequence):
            # Of a long answer nobody asks what it says.
            answer = sequence[1:2] in ANSWERS and len(sequence) > 4
            self._begun = sequence[:3] + character if answer else sequence
        elif self._begun == ESCAPE and character < " ":
            yield from self._given_up()
            yield from self.feed(character)
        elif _WHOLE.fullmatch(sequence):
            self._begun = ""
            yield from self._known(sequence)
        else:
            # A string to the terminal is ended by an escape and one sign more: by another, it
            # was the escape of another sequence.
            again = ESCAPE if self._begun[1:].endswith(ESCAPE) else ""
            self._begun = self._begun[: len(self._begun) - len(again)]
            yield from self._given_up()
            yield from self.feed(again + character)

    def _known(self, sequence: str) -> Iterable[Message]:
        """What a whole sequence means; nothing where nobody knows it."""
        if sequence == BRACKETED_PASTE_START:
            self._pasted = []
        elif len(sequence) == 2 and not isinstance(ANSI_SEQUENCES_KEYS.get(sequence), tuple):
            # Textual takes alt+1 for the sign that one keyboard of one system types with it.
            yield from self._with_alt(sequence[1])
        elif sequence[1] in ANSWERS or len(sequence) > LONGEST:
            return
        elif sequence != BRACKETED_PASTE_END:
            # Of these only "u" stands for a sign; Textual takes the numbers of others for one too.
            signs = sequence[1] != "[" or sequence[-1] == "u"
            for event in super().feed(sequence):
                if signs or not (isinstance(event, Key) and event.is_printable):
                    yield event
            if self._awaiting.timeout is not None:  # it takes this for the beginning of something
                self._gen = self.parse(self._tokens.append)
                self._awaiting = next(self._gen)

    def _given_up(self) -> Iterable[Message]:
        """What was begun does not go on: one or two keys were pressed, or its rest was lost."""
        begun, self._begun = self._begun, ""
        if begun == ESCAPE:
            yield Key("escape", ESCAPE)
        elif len(begun) == 2:
            yield from self._with_alt(begun[1])

    def _with_alt(self, character: str) -> Iterable[Key]:
        for event in self._sequence_to_key_events(character, alt=True):
            yield Key(f"alt+{event.key.removeprefix('alt+')}", None)

    def _paste_on(self, pasted: list[str], data: str) -> Generator[Message, None, str]:
        """What stands up to the mark behind a paste; what comes after it is given back."""
        known = self._tail + data
        place = known.find(BRACKETED_PASTE_END)
        if place < 0:
            self._tail = known[1 - len(BRACKETED_PASTE_END) :]
            pasted.append(known[: len(known) - len(self._tail)])
            return ""
        pasted.append(known[:place])
        self._pasted, self._tail = None, ""
        yield Paste(pasted_text("".join(pasted)))
        return known[place + len(BRACKETED_PASTE_END) :]


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
