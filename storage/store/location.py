"""Where a user's store is: a file, or a database on a server."""

import os
from pathlib import Path, PurePath

from msgspec import Struct

from storage.errors import StoreError

STORE_VARIABLE = "MAINRUN_STORE"
STORE_NAME = "builds.sqlite"
SCHEMES = ("postgresql://", "postgres://")
"""What the address of a database on a server begins with."""


class Server(Struct, frozen=True):
    """A database on a PostgreSQL server; as text without password and options.

    ``StoreError`` where that is no address.
    """

    address: str
    """Its address as PostgreSQL's own programs take it; it may hold a password."""

    def __post_init__(self) -> None:
        from urllib.parse import urlsplit

        try:
            urlsplit(self.address)
        except ValueError:
            raise StoreError(
                "the address of the store is none: write postgresql://USER@HOST/DATABASE"
            ) from None

    def __repr__(self) -> str:
        return f"Server({self})"

    def __str__(self) -> str:
        """Scheme, user, host and database."""
        from urllib.parse import unquote, urlsplit

        parts = urlsplit(self.address)
        _, at, host = parts.netloc.rpartition("@")
        return f"postgresql://{unquote(parts.username or '')}{at}{host}{parts.path}"

    @property
    def secrets(self) -> tuple[str, ...]:
        """What must not be shown: its passwords, as they stand there and as they are meant."""
        from urllib.parse import unquote, urlsplit

        parts = urlsplit(self.address)
        options = (each.partition("=") for each in parts.query.split("&"))
        found = [value for name, _, value in options if "password" in name]
        found.append(parts.password or "")
        return tuple({text for each in found for text in (each, unquote(each)) if text})


Place = Path | Server
"""Where a store is."""


def store_place(given: str | None = None) -> Place:
    """The store to use: the one given, else $MAINRUN_STORE, else the user's data directory.

    ``StoreError`` where that names the home of nobody, or what is given holds a password.
    """
    if given and is_address(given) and Server(given).secrets:
        raise StoreError(
            f"{Server(given)}: a password in a command can be read by everybody on this machine: "
            f"put it into ~/.pgpass, PGPASSWORD or {STORE_VARIABLE} instead"
        )
    chosen = given or os.environ.get(STORE_VARIABLE)
    return place_of(chosen) if chosen else own_place()


def own_place() -> Path:
    """The store of a user who names none; its folder is made where it is not there."""
    from platformdirs import user_data_path

    return user_data_path("mainrun", appauthor=False) / STORE_NAME


def place_of(chosen: str) -> Place:
    """The store that a text names."""
    if is_address(chosen):
        return Server(chosen)
    try:
        return Path(chosen).expanduser()
    except RuntimeError:  # no such user
        raise StoreError(
            f"the store {chosen} names the home of a user who is not known here: give its "
            "path in full"
        ) from None


def is_address(text: str) -> bool:
    """Whether a text names a database on a server, not a file."""
    return text.casefold().startswith(SCHEMES)


def uri_of(path: PurePath) -> str:
    """The address of a file as SQLite takes it: of a share, too, it names no host but a path."""
    uri = path.as_uri()
    return uri if uri.startswith("file:///") else f"file://{uri.removeprefix('file:')}"
