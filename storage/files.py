"""Writing a file so that an earlier one is whole until the new one is; reading a text file."""

import os
import secrets
from pathlib import Path

from storage.errors import TransferError

LARGEST_BYTES = 20_000_000
"""No text that is read is larger."""


def read_text(path: Path) -> str:
    """The text of a file; ``TransferError`` where it is none, is too large, or cannot be read.

    A pipe or device is refused: reading it might never end.
    """
    try:
        if path.exists() and not path.is_file():
            raise TransferError(f"{path} is no file: name a CSV file")
        with path.open("rb") as opened:
            content = opened.read(LARGEST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise TransferError(f"{path} cannot be read: {reason}") from error
    return text_of(content, str(path))


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
            _replace(target, text.encode("utf-8"))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise TransferError(f"{path} cannot be written: {reason}") from error


def _replace(target: Path, content: bytes) -> None:
    beside = target.with_name(f".mainrun-{secrets.token_hex(6)}.part")
    descriptor = os.open(beside, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666)
    try:
        with os.fdopen(descriptor, "wb") as file:
            if target.exists():
                beside.chmod(target.stat().st_mode & 0o777)
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(target)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
