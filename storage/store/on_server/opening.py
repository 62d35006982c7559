"""Opening a store on a server; what that needs is an extra that few installations have."""

from storage.errors import StoreError
from storage.store.database import Database
from storage.store.location import Server


def open_server(server: Server, *, make: bool) -> Database:
    """Open the store in a database on a server; its tables are made where there are none.

    With ``make`` false, a database without a store in it is a ``StoreError``.
    """
    try:
        import psycopg
    except ImportError as error:
        what = f"the store {server} is on a server, and what is needed for that"
        if error.name == "psycopg":
            raise StoreError(
                f"{what} is not installed: install mainrun again with [server], as "
                "pip install '.[server]' does in its folder"
            ) from None
        # The library below the driver: to install it again may not mend it.
        said = " ".join(str(error).split())
        raise StoreError(f"{what} is installed but cannot be loaded ({said})") from error
    _ = psycopg
    from storage.store.on_server.schema import Schema

    return Schema(server, make=make)
