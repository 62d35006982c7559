"""Where a user's store is, and how SQLite is told."""

import os
from pathlib import Path, PurePath

from storage.errors import StoreError

STORE_VARIABLE = "MAINRUN_STORE"
STORE_NAME = "builds.sqlite"


def store_path(given: str | None = None) -> Path:
    """The store to use: the one given, else $MAINRUN_STORE, else the user's data directory.

    ``StoreError`` where that names the home of nobody.
    """
    chosen = given or os.environ.get(STORE_VARIABLE)
    if chosen:
        try:
            return Path(chosen).expanduser()
        except RuntimeError:  # no such user
            raise StoreError(
                f"the store {chosen} names the home of a user who is not known here: give its "
                "path in full"
            ) from None
    from platformdirs import user_data_path

    return user_data_path("mainrun", appauthor=False) / STORE_NAME


def uri_of(path: PurePath) -> str:
    """The address of a file as SQLite takes it: of a share, too, it names no host but a path."""
    uri = path.as_uri()
    return uri if uri.startswith("file:///") else f"file://{uri.removeprefix('file:')}"
