"""What the commands that print have in common."""

import sys
from typing import Annotated

import typer

BuildArgument = Annotated[
    str, typer.Argument(metavar="BUILD", help="Key number, or a part of the title.")
]
"""How a command is told which build is meant."""


def write_out(content: str) -> None:
    """Print what another program will read: UTF-8 whatever the terminal's encoding is."""
    sys.stdout.flush()
    sys.stdout.buffer.write(content.rstrip("\n").encode() + b"\n")


def draws() -> bool:
    """Whether standard output can hold a picture in braille dots."""
    try:
        "\u28ff".encode(sys.stdout.encoding)
    except (UnicodeEncodeError, LookupError):
        return False
    return True
