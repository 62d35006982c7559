"""What the terminal program stands on, loaded without what it never uses of it."""

import sys
from types import ModuleType
from typing import cast


def load_asyncio() -> None:
    """Load asyncio without OpenSSL: 4 MB less of the running program, and some 10 ms of a start.

    The event loop serves this terminal alone, and a store on a server is reached through its
    driver's own library. Whoever asks for ``ssl`` afterwards gets it.
    """
    if {"asyncio", "ssl"}.isdisjoint(sys.modules):
        sys.modules["ssl"] = cast(ModuleType, None)  # asyncio goes without it, as it is told to
        try:
            import asyncio  # noqa: F401
        finally:
            del sys.modules["ssl"]
