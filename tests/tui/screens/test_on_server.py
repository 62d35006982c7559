"""The program over a store on a server: others are seen, and a server that is away is sat out."""

from asyncio import sleep, timeout
from contextlib import AsyncExitStack

import pytest
from textual.app import App
from textual.notifications import Notification

from domain.build.actions import add_amplifier, applied
from domain.build.start import start_build
from storage.store.location import Server
from storage.store.on_server import link
from tests.storage.between import between
from tests.storage.server import Running
from tests.tui.driving import build_screen, press, reopened, running, screen_text, stored
from tui.app import LOOK_EVERY_S, WAITING, MainrunApp
from tui.grids.status import Status


async def test_two_people_see_each_other_and_each_other_s_edits(on_server: Server) -> None:
    key = stored(on_server, applied(start_build(), add_amplifier(start_build(), name="Front")))
    async with AsyncExitStack() as stack:
        kim, lee = [
            await stack.enter_async_context(running(on_server, key=key, person=person))
            for person in ("Kim", "Lee")
        ]
        await press(kim, "right", "2x300", "enter")
        async with timeout(60 * LOOK_EVERY_S):
            while "2x300" not in screen_text(lee) or "also here: Kim" not in screen_text(lee):
                await sleep(LOOK_EVERY_S / 5)
        assert build_screen(lee).workbench.build == reopened(on_server, key)


async def test_what_is_typed_while_the_server_is_away_is_kept_and_saved_when_it_is_back(
    on_server: Server, at_server: Running
) -> None:
    build = applied(start_build(), add_amplifier(start_build(), name="Front"))
    key = stored(on_server, build)
    with between(at_server.port) as line:
        options = on_server.address.rpartition("?")[2]
        place = Server(f"postgresql://mainrun@127.0.0.1:{line.port}/postgres?{options}")
        async with running(place, key=key, person="Kim") as kim:
            line.refuses = True
            line.hang_up()
            async with timeout(60 * LOOK_EVERY_S):
                while not any("cannot be reached" in each.message for each in told(kim.app)):
                    await sleep(LOOK_EVERY_S / 5)
            await press(kim, "right", "2x300", "enter")
            screen = build_screen(kim)
            assert screen.editing.open
            assert screen.editing.editor.value == "2x300"
            assert "cannot be reached" in screen_text(kim)
            assert reopened(on_server, key) == build
            line.refuses = False
            async with timeout(60 * LOOK_EVERY_S):
                while not any("is back" in each.message for each in told(kim.app)):
                    await sleep(LOOK_EVERY_S / 5)
            await press(kim, "enter")
            assert "2x300" in screen_text(kim)
            assert reopened(on_server, key) == screen.workbench.build != build


async def test_a_server_that_hangs_does_not_hold_the_screen_and_an_edit_says_that_it_waits(
    on_server: Server, at_server: Running, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(link, "SLOW_S", 1.5)
    monkeypatch.setattr(link, "TOLD_S", 0.2)
    said: list[str] = []
    say_at_once = Status.say_at_once

    def heard(status: Status, text: str) -> None:
        said.append(text)
        say_at_once(status, text)

    monkeypatch.setattr(Status, "say_at_once", heard)
    build = applied(start_build(), add_amplifier(start_build(), name="Front"))
    key = stored(on_server, build)
    with between(at_server.port) as line:
        options = on_server.address.rpartition("?")[2]
        place = Server(
            f"postgresql://mainrun@127.0.0.1:{line.port}/postgres?{options}&connect_timeout=2"
        )
        async with running(place, key=key, person="Kim") as kim:
            app = kim.app
            assert isinstance(app, MainrunApp)
            await app.workers.wait_for_complete()
            line.is_deaf = True
            app._unseen = True
            app.look()
            assert app._asking, "a thread waits for the answer, and this test goes on"
            await press(kim, "right", "2x300")
            assert build_screen(kim).editing.editor.value == "2x300"
            assert said == []
            await press(kim, "enter")
            assert WAITING in said
            assert build_screen(kim).editing.editor.value == "2x300"
            assert reopened(on_server, key) == build
            line.is_deaf = False
            await app.workers.wait_for_complete()
            await press(kim, "enter")
            assert reopened(on_server, key) == build_screen(kim).workbench.build != build
            assert WAITING not in screen_text(kim)
            assert not app._asking


def told(app: App[int]) -> list[Notification]:
    """What the program has told in passing."""
    return list(app._notifications)
