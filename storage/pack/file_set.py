"""Writes several files to a folder, all or none; earlier ones stay intact until then."""

import os
import unicodedata
from pathlib import Path

from storage.errors import TransferError
from storage.files import written_beside

_LONGEST_BYTES = 90
"""Longest part of a file name taken from a title; file systems allow 255 in all."""


def file_stem(id: str, name: str) -> str:
    """A file name for a record that every file system accepts: its id, then its name.

    Letters, marks and digits of any script are kept; everything else becomes a dash.
    """
    text = unicodedata.normalize("NFC", name)
    kept = "".join(
        char if char.isalnum() or unicodedata.category(char).startswith("M") else "-"
        for char in text
    )
    short = kept.encode()[:_LONGEST_BYTES].decode(errors="ignore")
    words = [word for word in short.split("-") if word]
    return "-".join([id, *words])


def write_all(folder: Path, files: dict[str, bytes], *, replace: bool = True) -> list[Path]:
    """Write the files into the folder, made if it is missing; the paths in the order given.

    Unless they are to ``replace`` earlier ones of their names, nothing is written over any.

    Every file is written under a temporary name before the first one is moved into place. Raises
    ``TransferError``; the files that were there are then as they were.
    """
    waiting: dict[Path, Path] = {}
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            target = folder / name
            if target.is_dir():
                raise TransferError(f"{target} is a directory: move it away or name another folder")
            if not replace and os.path.lexists(target):
                raise TransferError(
                    f"{target} is already there: name another folder, or add --force"
                )
            waiting[target] = written_beside(target, content)
        for target in list(waiting):
            waiting[target].replace(target)
            del waiting[target]
    except FileExistsError as error:
        raise TransferError(f"{folder} is a file: name a folder") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise TransferError(f"{folder} cannot be written to: {reason}") from error
    finally:
        for left in waiting.values():
            left.unlink(missing_ok=True)
    return [folder / name for name in files]
