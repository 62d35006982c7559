"""Helpers that drive the terminal program as a user does, and read its screen."""

from asyncio import sleep, timeout
from collections.abc import AsyncIterator, Iterable
from contextlib import asynccontextmanager
from itertools import groupby
from unicodedata import lookup

from textual.events import Key
from textual.keys import REPLACED_KEYS, _character_to_key, _get_unicode_name_from_key
from textual.pilot import Pilot

from domain.build.records import Build
from storage.store.builds import Store
from storage.store.location import Place
from tests.tui.stillness import settled
from tui.app import MainrunApp
from tui.screens.build import BuildScreen
from tui.widgets.line_view import LineView

WIDE = (120, 40)
NARROW = (80, 24)
SIZES = [WIDE, NARROW]


@asynccontextmanager
async def running(
    path: Place,
    size: tuple[int, int] = WIDE,
    key: int | None = None,
    person: str | None = None,
    page: str = "f2",
) -> AsyncIterator[Pilot[int]]:
    """The program over a store, on its first screen, or in a build on the page of a key.

    A ``page`` of "" stays where a build opens.
    """
    app = MainrunApp(path, key, person)
    try:
        async with app.run_test(size=size) as pilot:
            await settled(pilot)
            if key is not None and page:
                await press(pilot, page)
            yield pilot
            if app.screen_stack:
                screen_text(pilot)  # nothing that cannot be drawn passes
    finally:
        app.store.close()


def stored(path: Place, build: Build) -> int:
    """Put a build into the store; its key."""
    with Store(path) as store:
        return store.create(build)


def reopened(path: Place, key: int = 1) -> Build:
    """The build as the store has it."""
    with Store(path) as store:
        return store.open(key).document


async def press(pilot: Pilot[int], *keys: str) -> None:
    """Press keys; a longer word that names no key is typed letter by letter.

    They have all done their work then, on however loaded a machine. Letters come as from somebody
    who types quickly; before and after every other key all is still.
    """
    for letters, burst in groupby(keys, lambda key: len(key) == 1 or not is_key(key)):
        for each in ["".join(burst)] if letters else burst:
            for key in each if letters else [each]:
                pilot.app.post_message(pressed(key))
            await settled(pilot)


def pressed(key: str) -> Key:
    """The event of a key, as a terminal's driver makes it."""
    name = key if len(key) > 1 or key.isalnum() else _character_to_key(key)
    try:
        character = lookup(_get_unicode_name_from_key(REPLACED_KEYS.get(name, name)))
    except KeyError:
        character = key if len(key) == 1 else ""
    return Key(name, character or None)


async def looked(pilot: Pilot[int]) -> None:
    """Wait until what others have done is on the screen."""
    app = pilot.app
    assert isinstance(app, MainrunApp)
    await app.workers.wait_for_complete()  # others see where one is
    app.look()
    await settled(pilot)


async def tried(pilot: Pilot[int]) -> None:
    """Wait until it is known, and shown, what mends the finding at hand."""
    async with timeout(10):
        while not build_screen(pilot).mending.tried:
            await sleep(0.01)
    await settled(pilot)


def is_key(text: str) -> bool:
    """Whether a text names one key."""
    named = (
        "enter",
        "escape",
        "space",
        "tab",
        "up",
        "down",
        "left",
        "right",
        "home",
        "end",
        "delete",
        "backspace",
        "pageup",
        "pagedown",
        "question_mark",
        "equals_sign",
    )
    return (
        len(text) == 1
        or text in named
        or ("+" in text[1:] and " " not in text)
        or (text[0] == "f" and text[1:].isdigit())
    )


def strokes(keys: Iterable[str]) -> int:
    """How many key presses these are."""
    return sum(1 if is_key(key) else len(key) for key in keys)


def screen_text(pilot: Pilot[int]) -> str:
    """What is on the screen, line by line."""
    strips = pilot.app.screen._compositor.render_strips()
    return "\n".join(strip.text.rstrip() for strip in strips)


def status(pilot: Pilot[int]) -> str:
    """The status line."""
    return pilot.app.screen.query_one("#status", LineView).lines[0].plain.strip()


def build_screen(pilot: Pilot[int]) -> BuildScreen:
    """The open build's screen."""
    screen = pilot.app.screen
    assert isinstance(screen, BuildScreen)
    return screen
