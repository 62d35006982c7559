"""The list of a dialog."""

from textual.events import Click
from textual.widgets import OptionList


class ChoiceList(OptionList):
    """A list that may have grown shorter since it was painted."""

    async def _on_click(self, event: Click) -> None:
        """A click on a line that is no longer there chooses nothing."""
        place = event.style.meta.get("option")
        if place is not None and place >= self.option_count:
            event.prevent_default()
