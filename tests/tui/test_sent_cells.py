"""Only cells that differ are sent, and the terminal shows the same as if all were.

Checked on the screen of a general terminal emulator (pyte), against what Textual itself sends of
the same lines.
"""

from collections.abc import Sequence
from pathlib import Path

import pyte
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.console import Console, RenderableType
from rich.segment import Segment
from rich.style import Style
from textual._compositor import ChopsUpdate, LayoutUpdate
from textual.geometry import Region
from textual.screen import Screen
from textual.strip import Strip

from tests.tui.driving import WIDE, press, running, stored
from tests.tui.views.test_wiring import two_amplifiers
from tui.app import MainrunApp
from tui.screens.build import BuildScreen
from tui.widgets.sent_cells import SentCells

pytestmark = pytest.mark.usefixtures("drawn_each_time")

CONSOLE = Console(color_system="standard", force_terminal=True, width=20)

STYLES = [
    None,
    Style(),
    Style(bold=True),
    Style(reverse=True),
    Style(underline=True),
    Style(color="red"),
    Style(bgcolor="blue", italic=True),
    Style(color="default", bgcolor="default"),
]

TEXTS = ["", " ", "a", "12 V", "╠═[35~]══ ", "          ", "表", "🚐", "e\u0301", "ﾊ"]


def emulator(width: int, height: int) -> tuple[pyte.Screen, pyte.Stream]:
    screen = pyte.Screen(width, height)
    return screen, pyte.Stream(screen)


def seen(screen: pyte.Screen) -> list[list[tuple[object, ...]]]:
    """What can be seen in each cell; of a blank, only its ground and lines."""
    rows = []
    for y in range(screen.lines):
        row: list[tuple[object, ...]] = []
        for x in range(screen.columns):
            cell = screen.buffer[y][x]
            plain = cell.data == " " and not (cell.reverse or cell.underscore)
            letters = () if plain else (cell.fg, cell.bold, cell.italics, cell.reverse)
            row.append((cell.data, cell.bg, cell.underscore, *letters))
        rows.append(row)
    return rows


def strip_of(parts: Sequence[tuple[str, Style | None]], width: int) -> Strip:
    return Strip([Segment(text, style) for text, style in parts]).adjust_cell_length(width)


def drawn_whole(strips: Sequence[Strip], console: Console, width: int) -> pyte.Screen:
    """The screen when all lines are sent, by Textual's own hand."""
    screen, stream = emulator(width, len(strips))
    for y, strip in enumerate(strips, 1):
        stream.feed(f"\x1b[{y};1H{strip.render(console)}")
    return screen


lines = st.lists(
    st.lists(st.tuples(st.sampled_from(TEXTS), st.sampled_from(STYLES)), max_size=6),
    min_size=3,
    max_size=3,
)


@settings(max_examples=40, deadline=None)
@given(st.lists(lines, min_size=1, max_size=4))
def test_the_same_is_seen(pictures: list[list[list[tuple[str, Style | None]]]]) -> None:
    sent = SentCells()
    screen, stream = emulator(20, 3)
    for picture in pictures:
        strips = [strip_of(parts, 20) for parts in picture]
        update = LayoutUpdate([[strip] for strip in strips], Region(0, 0, 20, 3))
        stream.feed(sent.changes(update, CONSOLE))
        assert seen(screen) == seen(drawn_whole(strips, CONSOLE, 20))


def test_nothing_is_sent_twice() -> None:
    sent = SentCells()
    update = LayoutUpdate([[strip_of([("1/0  0.38 V", None)], 20)]], Region(0, 0, 20, 1))
    assert "0.38 V" in sent.changes(update, CONSOLE)
    assert sent.changes(update, CONSOLE) == ""
    sent.forget()
    assert "0.38 V" in sent.changes(update, CONSOLE)


def test_a_changed_digit_costs_a_digit() -> None:
    sent = SentCells()
    before, after = (strip_of([(f"Door amp   {volts} V", None)], 20) for volts in ("0.38", "0.39"))
    sent.changes(LayoutUpdate([[before]], Region(0, 0, 20, 1)), CONSOLE)
    # where to, by ECMA-48's cursor position, and the digit
    changes = sent.changes(LayoutUpdate([[after]], Region(0, 0, 20, 1)), CONSOLE)
    assert changes == "\x1b[1;15H9"


@pytest.mark.parametrize("name", ["Door", "表 🚐 e\u0301"])
async def test_of_a_real_screen_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """Keys, a form, a scrolled page and a list: after each the terminal shows the screen."""
    width, height = WIDE
    sent = SentCells()
    screen, stream = emulator(width, height)

    def display(app: MainrunApp, shown: Screen[object], update: RenderableType | None) -> None:
        if isinstance(update, LayoutUpdate | ChopsUpdate) and not app._batch_count:
            stream.feed(sent.changes(update, app.console))
            if isinstance(shown, BuildScreen):
                shown.drawn()

    monkeypatch.setattr(MainrunApp, "_display", display)
    path = tmp_path / "store.db"
    async with running(path, key=stored(path, two_amplifiers()), page="") as pilot:
        steps = [
            "f2",
            "home",
            "enter",
            name,
            "enter",
            "escape",
            "alt+1",
            "enter",
            "alt+8",
            "f1",
            "escape",
            "f9",
        ]
        for key in steps:
            await press(pilot, key)
            app = pilot.app
            strips = app.screen._compositor.render_strips()
            assert seen(screen) == seen(drawn_whole(strips, app.console, width)), key
