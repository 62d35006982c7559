"""Writing a file so that an earlier one is whole until the new one is; reading a text file."""

import os
import time
from contextlib import suppress
from errno import EISDIR
from pathlib import Path

from storage.errors import TransferError

LARGEST_BYTES = 20_000_000
"""No text that is read is larger."""

LEFT_OVER_S = 3600.0
"""A file under a temporary name that is older than this was left by a killed process [s]."""


def read_text(path: Path) -> str:
    """The text of a file; ``TransferError`` where it is none, is too large, or cannot be read.

    A pipe or device is refused: reading it might never end.
    """
    return text_of(read_bytes(path), str(path))


def read_bytes(path: Path) -> bytes:
    """What is in a file, and of one that is too large its beginning, by a byte too long.

    ``TransferError`` where it cannot be read or is a pipe or device: that might never end.
    """
    try:
        if path.is_dir():
            raise TransferError(f"{path} is no file and cannot be read: {os.strerror(EISDIR)}")
        if path.exists() and not path.is_file():
            raise TransferError(f"{path} is no file: name one, or give - and pipe it in")
        with path.open("rb") as opened:
            return opened.read(LARGEST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise TransferError(f"{path} cannot be read: {reason}") from error


def text_of(content: bytes, name: str) -> str:
    """The text that the bytes of a file are; ``TransferError`` where they are none."""
    if len(content) > LARGEST_BYTES:
        raise TransferError(
            f"{name} is larger than {LARGEST_BYTES // 1_000_000} MB: choose another file"
        )
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise TransferError(
            f"{name}: byte {error.start} is no UTF-8 text; save the table as CSV in UTF-8"
        ) from None


def write_beside(path: Path, text: str) -> None:
    """Write text to a file next to the target, then put it in the target's place.

    An earlier file keeps its permissions, and stays as it was if anything fails. A device or
    pipe cannot be replaced and is written to directly. Raises ``TransferError``.
    """
    try:
        target = path.resolve()
        if target.is_dir():
            raise TransferError(f"{path} is a directory: name a file in it")
        if target.exists() and not target.is_file():
            target.write_text(text, encoding="utf-8", newline="")
        else:
            content = text.encode("utf-8")
            mode = target.stat().st_mode & 0o777 if target.exists() else None
            written_beside(target, content, mode).replace(target)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise TransferError(f"{path} cannot be written: {reason}") from error


def written_beside(target: Path, content: bytes, mode: int | None = None) -> Path:
    """Write to a file of a temporary name next to the target; its path. Raises ``OSError``.

    What a killed process has left there under such a name is cleared first.
    """
    clear_left_over(target.parent)
    beside = target.with_name(f".mainrun-{os.urandom(6).hex()}.part")
    descriptor = os.open(beside, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666)
    try:
        with os.fdopen(descriptor, "wb") as file:
            if mode is not None:
                beside.chmod(mode)
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    return beside


def clear_left_over(folder: Path) -> None:
    """Remove files that a killed process began in the folder: none is written for that long."""
    for each in folder.glob(".mainrun-" + "[0-9a-f]" * 12 + ".part"):
        with suppress(OSError):
            if time.time() - each.lstat().st_mtime > LEFT_OVER_S:
                each.unlink()
