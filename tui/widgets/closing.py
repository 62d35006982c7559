"""Screens that are closed once, however often and quickly they are asked to."""

from typing import Generic, TypeVar

from textual.await_complete import AwaitComplete
from textual.screen import ModalScreen, Screen

Result = TypeVar("Result")


class ClosesOnce(Screen[Result], Generic[Result]):
    """A second click on its way out would otherwise close the screen beneath as well."""

    def dismiss(self, result: Result | None = None) -> AwaitComplete:
        """Close it with this result, if it is on top."""
        if self.app.screen is not self:
            return AwaitComplete()
        return super().dismiss(result)


class Dialog(ModalScreen[Result], Generic[Result]):
    """A box over a screen. It takes its keys itself, so that none is lost while it opens."""

    def dismiss(self, result: Result | None = None) -> AwaitComplete:
        """Close it with this result, if it is on top."""
        return super().dismiss(result) if self.app.screen is self else AwaitComplete()
