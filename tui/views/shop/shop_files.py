"""Files of the shop: asks for a path, and writes what is there or takes what the file holds."""

import asyncio
from collections.abc import Collection
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from domain.build.edits import Edit, EditRefused
from domain.shop.shop import Shop
from storage.errors import TransferError
from tui.bench import Bench
from tui.dialogs.boxes import Ask, Pick
from tui.grids.grid_screen import GridScreen
from tui.pages.long_work import Progress
from tui.pages.template import folder_of
from tui.pages.writing import WritingPage
from tui.report.plain import some
from tui.views.shop.shop_making import make_aside

if TYPE_CHECKING:
    from domain.shop.csv_files import Taken


def ask_for_export(screen: GridScreen, bench: Bench[Shop], kind: str) -> None:
    """Ask for a path and write the file; one that is there is only replaced when told to."""

    def typed(text: str | None) -> None:
        if text is None or not text.strip():
            return
        try:
            path = folder_of(text)
            there = path.is_file()
        except (OSError, ValueError) as error:
            screen.warn(f"Not written: {error}")
            return
        if not there:
            write(path)
            return
        screen.app.push_screen(
            Pick(f"{path.name} is already there", ["Leave it as it is", "Replace it"]),
            lambda place: write(path) if place == 1 else None,
        )

    def write(path: Path) -> None:
        shop = bench.document

        def work(progress: Progress) -> list[Path]:
            from domain.shop.csv_files import FILES
            from storage.files import write_beside

            write_beside(path, FILES[kind].write(shop))
            return [path]

        screen.app.push_screen(WritingPage(f"{kind.capitalize()} of the shop", work))

    screen.app.push_screen(Ask(f"Write the {kind} as this CSV file", _beside(kind)), typed)


def ask_for_import(screen: GridScreen, bench: Bench[Shop], kind: str) -> None:
    """Ask for a path and take the file, whole or not at all; drops nothing without asking."""

    async def typed(text: str | None) -> None:
        if text is None or not text.strip():
            return
        screen.say("Reading the file")
        shop = bench.document
        try:
            read, dropped = await asyncio.to_thread(_read, kind, text, shop)
        except (TransferError, ValueError) as error:
            screen.warn(f"Not taken: {error}")
            return
        if not dropped:
            await _take(screen, bench, kind, read, ())
            return

        async def chosen(place: int | None) -> None:
            if place == 1:
                await _take(screen, bench, kind, read, dropped)

        options = ["Leave all as it is", f"Take the file, drop {some(dropped)}"]
        title = f"The file leaves out {len(dropped)} of the {kind} here"
        screen.app.push_screen(Pick(title, options), chosen)

    screen.app.push_screen(Ask(f"Take the {kind} from this CSV file", _beside(kind)), typed)


async def _take(
    screen: GridScreen, bench: Bench[Shop], kind: str, read: "Taken", agreed: Collection[str]
) -> None:
    """Take what was read, whole, unless another session has added what it would drop unasked."""
    from domain.shop.csv_files import FILES
    from domain.shop.shop_actions import dropped_by

    known = set(agreed)

    def edit(shop: Shop) -> Edit:
        made = read.taking(shop)
        more = [name for name in dropped_by(shop, made) if name not in known]
        if more:
            raise EditRefused(f"{some(more)} came in from another session: take the file again")
        return made

    screen.say("Taking the file")
    work = partial(bench.make, edit, FILES[kind].tables)
    if await make_aside(screen, work):
        notice = f". {bench.notice}" if bench.notice else ""
        screen.say(f"Taken: {read.said}{notice}; ctrl+z takes it back")


def _read(kind: str, text: str, shop: Shop) -> "tuple[Taken, list[str]]":
    """What a file holds, and the names of what is here now but not in it."""
    from domain.shop.csv_files import FILES
    from domain.shop.shop_actions import dropped_by
    from storage.files import read_text

    read = FILES[kind].read(read_text(folder_of(text)))
    return read, dropped_by(shop, read.taking(shop))


def _beside(kind: str) -> str:
    return str(Path.cwd() / f"{kind}.csv")
