"""When the program under test has nothing left to do: seen in its loop, not in the machine's load.

Textual's own pilot sleeps after each key until the process takes next to no time of the processor,
60 ms at the least, and on a loaded machine a second at the most, whether the work is done or not.
"""

from asyncio import get_running_loop, sleep, timeout

from textual.pilot import Pilot
from textual.screen import Screen

from tests.tui import clock
from tui.app import MainrunApp

PATIENCE_S = 60.0
"""For how long keys may be at work [s]."""

THREADS_S = 1.0
"""For how long threads that are at work are waited for [s]."""

MOST_DRAWN = 20
"""How often a screen is drawn that owes something each time: tests may have it not drawn."""

SOON_S = 0.06
"""Timers that would end within this end at once [s]."""


async def settled(pilot: Pilot[int]) -> None:
    """Wait until all keys have done their work, and what they did is on the screen.

    Work beside the loop, in threads, is waited for a second at most; timers that end as soon as
    Textual's pilot would wait in any case end at once: the clock goes on to them.
    """
    app = pilot.app
    assert isinstance(app, MainrunApp)
    loop = get_running_loop()
    began, drawn, passed_s = loop.time(), 0, 0.0
    clock.follow(loop)
    async with timeout(PATIENCE_S):
        await _taken(app)
        while app.return_code is None and app.screen_stack:  # one that ends takes no more
            if _owes(app.screen) and drawn < MOST_DRAWN:
                drawn += 1
                with app._context():  # of two programs in one test, it is this one that draws
                    app.screen._on_timer_update()
            elif _at_work(app) and loop.time() < began + THREADS_S:
                await sleep(0.001)
            else:
                timer_s = _next_timer_s()
                if passed_s + timer_s > SOON_S:
                    return
                passed_s += timer_s
                clock.pass_by(timer_s)
                await sleep(0)
            await _taken(app)


async def _taken(app: MainrunApp) -> None:
    """Wait until all keys have done their work."""
    await _loop_is_empty()
    while app.taking and app.return_code is None:
        await sleep(0.001)
        await _loop_is_empty()


def _next_timer_s() -> float:
    """How long it is until the next timer of the loop ends [s]."""
    loop = get_running_loop()
    timers = loop._scheduled  # type: ignore[attr-defined]
    whens = (each.when() for each in timers if not each.cancelled())
    return max(min(whens, default=float("inf")) - loop.time(), 0.0)


async def _loop_is_empty() -> None:
    """Let everything run that can run now, and all that follows from it."""
    ready = get_running_loop()._ready  # type: ignore[attr-defined]
    quiet = 0
    while quiet < 3:
        await sleep(0)
        quiet = 0 if ready else quiet + 1


def _owes(screen: Screen[object]) -> bool:
    """Whether it is still to be drawn, or to do what waits until it is."""
    return bool(
        screen._layout_required
        or screen._scroll_required
        or screen._repaint_required
        or screen._recompose_required
        or screen._dirty_widgets
        or screen._callbacks
    )


def _at_work(app: MainrunApp) -> bool:
    return any(worker.is_running for worker in app.workers) or _threads_at_work()


def _threads_at_work() -> bool:
    """Whether a thread of the loop's has something to do yet."""
    threads = get_running_loop()._default_executor  # type: ignore[attr-defined]
    if threads is None:
        return False
    waiting = threads._work_queue.qsize() > 0
    return bool(waiting or threads._idle_semaphore._value < len(threads._threads))
