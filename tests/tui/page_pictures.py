"""Pictures of every page, to be looked at: three sizes, four terminals.

    python -m tests.tui.page_pictures FOLDER [SIZE ...]

Writes FOLDER/SIZE-LOOK-PAGE.png. Looks: dark and light (xterm's 16 colours), console (those of
the VGA text console, which brightens bold letters), plain (no colours at all). It needs DejaVu
Sans Mono among the fonts of the system.
"""

import asyncio
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont
from rich.cells import cell_len
from rich.style import Style
from textual.strip import Strip

from demo_db.load import demo_builds
from domain.build import actions
from domain.build.edits import SetField
from storage.store.builds import Store
from tests.tui.driving import press, running
from tests.tui.test_contrast import GROUNDS, VGA, XTERM

SIZES = ("120x40", "80x24", "60x18")

PAGES: dict[str, tuple[str, ...]] = {
    "builds": ("f10",),
    "wiring": ("alt+1",),
    "stop": ("ctrl+g",),
    "form": ("escape", "alt+1", "home", "enter"),
    "add": ("escape", "home", "ctrl+n"),
    "amplifiers": ("escape", "f2"),
    "refused": ("right", "loud", "enter"),
    "battery": ("escape", "f3"),
    "distribution": ("f4",),
    "protection": ("down", "ctrl+t"),
    "safe": ("escape", "alt+w"),
    "grounds": ("escape", "f5"),
    "drop": ("ctrl+t",),
    "parts": ("escape", "f6"),
    "part": ("ctrl+t",),
    "readings": ("escape", "f7"),
    "pack": ("f8",),
    "quote": ("ctrl+t",),
    "pane": ("escape", "f9"),
    "help": ("f9", "f1"),
    "palette": ("escape", "ctrl+p"),
    "workings": ("escape", "alt+1", "down", "right", "ctrl+w"),
    "sheets": ("escape", "ctrl+k"),
    "history": ("escape", "alt+h"),
    "shop": ("escape", "f12"),
    "times": ("f3",),
    "library": ("f4",),
    "kits": ("f5",),
}
"""The pages, one after the other, and the keys that lead to each from the one before."""


@dataclass(frozen=True, slots=True)
class Terminal:
    """How a terminal paints."""

    palette: list[str]
    ground: str
    brightened: bool = False
    colours: bool = True


TERMINALS = {
    "dark": Terminal(XTERM, "dark"),
    "light": Terminal(XTERM, "light"),
    "console": Terminal(VGA, "dark", brightened=True),
    "plain": Terminal(XTERM, "dark", colours=False),
}

WIDE, HIGH = 8, 17
"""Points of a cell."""


def painted(strips: list[Strip], terminal: Terminal) -> Image.Image:
    """A screen as a terminal paints it."""
    regular = ImageFont.truetype("DejaVuSansMono.ttf", 13)
    bold = ImageFont.truetype("DejaVuSansMono-Bold.ttf", 13)
    dots = ImageFont.truetype("DejaVuSans.ttf", 13)
    width = max(strip.cell_length for strip in strips)
    picture = Image.new(
        "RGB", (width * WIDE, len(strips) * HIGH), f"#{GROUNDS[terminal.ground][1]}"
    )
    draw = ImageDraw.Draw(picture)
    for row, strip in enumerate(strips):
        x, y = 0, row * HIGH
        for text, style, _ in (part for part in strip if part.text):
            letters, ground = colours(style or Style(), terminal)
            draw.rectangle((x, y, x + cell_len(text) * WIDE - 1, y + HIGH - 1), f"#{ground}")
            for sign in text:
                braille = "\u2800" <= sign <= "\u28ff"
                strong = style is not None and style.bold
                font = dots if braille else bold if strong else regular
                draw.text((x, y), sign, f"#{letters}", font)
                if style is not None and style.underline:
                    draw.line((x, y + HIGH - 2, x + WIDE, y + HIGH - 2), f"#{letters}")
                x += cell_len(sign) * WIDE
    return picture


def colours(style: Style, terminal: Terminal) -> tuple[str, str]:
    """Letters and ground of a style."""
    letters, ground = GROUNDS[terminal.ground]
    if terminal.colours and style.bgcolor is not None and style.bgcolor.number is not None:
        ground = terminal.palette[style.bgcolor.number]
    if terminal.colours and style.color is not None and style.color.number is not None:
        number = style.color.number
        bright = style.bold and terminal.brightened and number < 8
        letters = terminal.palette[number + (8 if bright else 0)]
    if style.dim:
        pairs = [(letters[i : i + 2], ground[i : i + 2]) for i in (0, 2, 4)]
        letters = "".join(f"{(int(a, 16) * 6 + int(b, 16) * 4) // 10:02x}" for a, b in pairs)
    return (ground, letters) if style.reverse else (letters, ground)


def filled(path: Path) -> int:
    """A store with the demo builds, in the first of which something must stop; its key."""
    with Store(path) as store:
        keys = [store.create(build) for _, build in reversed(demo_builds())]
        build = store.open(keys[-1]).document
        run = next(run for run in build.runs if run.fused)
        edit = SetField(table="runs", id=run.id, field="gauge", value="AWG 16")
        wrong = actions.applied(build, edit)
        return store.create(wrong)


async def screens(path: Path, size: str) -> Iterator[tuple[str, list[Strip]]]:
    """Every page on a terminal of this size."""
    columns, rows = (int(part) for part in size.split("x"))
    found = []
    key = filled(path)
    async with running(path, (columns, rows), key, page="") as pilot:
        for page, keys in PAGES.items():
            await press(pilot, *keys)
            await pilot.pause()
            found.append((page, pilot.app.screen._compositor.render_strips()))
            if page == "builds":
                await press(pilot, "enter")
    return iter(found)


def main(folder: str, *sizes: str) -> None:
    """Write all of them."""
    to = Path(folder)
    to.mkdir(parents=True, exist_ok=True)
    for size in sizes or SIZES:
        with tempfile.TemporaryDirectory() as kept:
            shown = asyncio.run(screens(Path(kept) / "builds.sqlite", size))
        for page, strips in shown:
            for look, terminal in TERMINALS.items():
                painted(strips, terminal).save(to / f"{size}-{look}-{page}.png")


if __name__ == "__main__":
    main(*sys.argv[1:])
