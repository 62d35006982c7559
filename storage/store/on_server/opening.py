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
    except ImportError:  # the driver, or the library below it
        raise StoreError(
            f"the store {server} is on a server, and what is needed for that is not installed: "
            "pip install 'mainrun[server]'"
        ) from None
    _ = psycopg
    from storage.store.on_server.schema import Schema

    return Schema(server, make=make)
