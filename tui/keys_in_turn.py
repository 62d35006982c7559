"""Keys are taken one after the other: the next one when all that the last one does is done."""

from collections import deque
from functools import partial

from textual.app import App
from textual.events import Event, Key, Paste
from textual.message import Message
from textual.timer import Timer

from tui.widgets.notices import put_away_seen

LONGEST_WAIT_S = 2.0
"""A key waits no longer for the one before it [s]."""


class KeysInTurn(App[int]):
    """A program of which each screen finds what the keys before have made.

    Otherwise those typed quickly would reach a screen that is left, or one that is made.
    """

    class Handled(Message):
        """Goes the way of a key, right behind it: whoever takes that key has then taken it."""

    _taking: Handled | None = None
    """Follows the key that is being taken."""
    _patience: Timer | None = None
    """Ends the wait for it."""

    def __init__(self, *, ansi_color: bool) -> None:
        super().__init__(ansi_color=ansi_color)
        self._waiting: deque[Event] = deque()
        """Keys that were typed since."""

    @property
    def taking(self) -> bool:
        """Whether keys that came have not all done their work yet."""
        return self._taking is not None or bool(self._waiting)

    async def on_event(self, event: Event) -> None:
        """A key goes to the screen that stands when all keys before it have done their work."""
        if not isinstance(event, Key | Paste) or event.is_forwarded:
            await super().on_event(event)
        elif self._taking is not None:
            self._waiting.append(event)
        else:
            await self._take(event)

    async def _take(self, event: Event) -> None:
        target = self.focused or self.screen
        handled = self.Handled()
        self._taking = handled
        put_away_seen(self)
        await super().on_event(event)
        if not target.post_message(handled):
            self._taking = None
        else:
            # Whatever happens to the key, those behind it do not wait for ever.
            self._patience = self.set_timer(LONGEST_WAIT_S, partial(self._next, handled))

    async def on_keys_in_turn_handled(self, event: Handled) -> None:
        """The next key, if there is one already."""
        await self._next(event)

    async def _next(self, handled: Handled) -> None:
        if self._taking is not handled:
            return
        self._taking = None
        if self._patience is not None:
            self._patience.stop()
        while self._waiting and self._taking is None and self.screen_stack:
            await self._take(self._waiting.popleft())
