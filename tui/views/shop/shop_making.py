"""Edits of the shop that are made on what it holds at the moment when they are saved."""

import asyncio
from collections.abc import Callable

from domain.build.edits import Edit, EditRefused
from domain.shop.shop import Shop
from storage.errors import StoreError
from tui.bench import Bench
from tui.grids.grid_screen import GridScreen


def make(screen: GridScreen, bench: Bench[Shop], edit: Callable[[Shop], Edit]) -> bool:
    """Make an edit and show what follows; false when it was refused, with the reason told."""
    try:
        bench.make(edit)
    except (EditRefused, StoreError) as error:
        _refused(screen, error)
        return False
    _made(screen)
    return True


async def make_aside(screen: GridScreen, work: Callable[[], None]) -> bool:
    """The same for what takes a while: away from the keys, which wait for it."""
    try:
        await asyncio.to_thread(work)
    except (EditRefused, StoreError) as error:
        _refused(screen, error)
        return False
    _made(screen)
    return True


def _made(screen: GridScreen) -> None:
    screen.show_all()
    screen.show_notice()


def _refused(screen: GridScreen, error: Exception) -> None:
    screen.show_all()
    said = "Not saved" if isinstance(error, StoreError) else "Not taken"
    screen.warn(f"{said}: {error}")
