"""Where a user's store is."""

import os
from pathlib import Path

STORE_VARIABLE = "MAINRUN_STORE"
STORE_NAME = "builds.sqlite"


def store_path(given: str | None = None) -> Path:
    """The store to use: the one given, else $MAINRUN_STORE, else the user's data directory."""
    chosen = given or os.environ.get(STORE_VARIABLE)
    if chosen:
        return Path(chosen).expanduser()
    from platformdirs import user_data_path

    return user_data_path("mainrun", appauthor=False) / STORE_NAME
