"""Strips, Textual's lines of drawn text, that make a cache when something is first kept in it.

Textual makes seven caches with each strip, nearly 1 kB, and most stay empty; a screen of tables
keeps two thousand strips. What a strip does is the same.
"""

from collections.abc import Iterable
from typing import Any

from rich.segment import Segment
from textual.cache import FIFOCache
from textual.strip import Strip


def make_caches_late() -> None:
    """From now on strips are made without caches."""
    if "__getattr__" in vars(Strip):
        return
    as_made = Strip([])
    sizes = {
        name: cache._maxsize
        for name in Strip.__slots__
        if isinstance(cache := getattr(as_made, name), FIFOCache)
    }

    def begun(strip: Strip, segments: Iterable[Segment], cell_length: int | None = None) -> None:
        strip._segments = list(segments)
        strip._cell_length = cell_length
        strip._render_cache = strip._link_ids = strip._cell_count = None

    def made_now(strip: Strip, name: str) -> Any:
        if name not in sizes:
            raise AttributeError(name)
        cache: FIFOCache[Any, Any] = FIFOCache(sizes[name])
        setattr(strip, name, cache)
        return cache

    Strip.__init__ = begun  # type: ignore[method-assign,assignment]
    Strip.__getattr__ = made_now  # type: ignore[attr-defined]
