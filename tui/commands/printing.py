"""What the commands that print or write files have in common."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Protocol

import typer

from tui.commands.exits import Refused

if TYPE_CHECKING:
    from domain.build.records import Build

BuildArgument = Annotated[
    str, typer.Argument(metavar="BUILD", help="Key number, or a part of the title.")
]
"""The argument that names a build."""

ForceOption = Annotated[bool, typer.Option("--force", help="Replace a file that is there.")]


class Progress(Protocol):
    """Receives the progress of a piece of work."""

    def __call__(self, done: float, what: str = "", /) -> bool:
        """Takes the share done, 0 to 1, and the current step; returns whether to go on."""


def write_out(content: str) -> None:
    """Print what another program will read: UTF-8 whatever the terminal's encoding is."""
    sys.stdout.flush()
    sys.stdout.buffer.write(content.rstrip("\n").encode() + b"\n")


def print_text(text: str, *builds: "Build") -> None:
    """Print what people read, in the words of the first of these builds."""
    from domain.build.dialect import speech_of

    print(speech_of(*builds)(text), end="" if text.endswith("\n") else "\n")


def write_file(file: str, content: str, force: bool) -> None:
    """Write to a file, or to standard output for "-".

    ``Refused`` if the file exists and ``force`` is not set, ``TransferError`` if it cannot be
    written; an earlier file stays intact until the new one is complete.
    """
    if file == "-":
        write_out(content)
        return
    if os.path.isfile(file) and not force:
        raise Refused(f"{file} is already there: choose another name, or add --force")
    from storage.files import write_beside

    write_beside(Path(file), content)


def read_text(file: str) -> str:
    """The text of a file, or of standard input for "-"; ``Refused`` if there is none."""
    from storage.errors import TransferError
    from storage.files import LARGEST_BYTES, read_bytes, text_of

    try:
        if file == "-":
            content = sys.stdin.buffer.read(LARGEST_BYTES + 1) if sys.stdin else b""
        else:
            content = read_bytes(Path(file))
        return text_of(content, file)
    except TransferError as error:
        raise Refused(str(error)) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise Refused(f"{file} cannot be read: {reason}") from None


def draws() -> bool:
    """Whether standard output can show a picture in braille dots."""
    try:
        "\u28ff".encode(sys.stdout.encoding)
    except (UnicodeEncodeError, LookupError):
        return False
    return True


@contextmanager
def progress_line(title: str) -> Iterator[Progress | None]:
    """A progress line on standard error that disappears at the end; none if not a terminal."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as shown:
        task = shown.add_task(title, total=1.0)

        def update(done: float, what: str = "", /) -> bool:
            shown.update(task, completed=done, description=f"{title}: {what}" if what else title)
            return True

        yield update
