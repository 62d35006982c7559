"""The list of a dialog."""

from textual.events import Click
from textual.style import Style
from textual.widgets import OptionList


class ChoiceList(OptionList):
    """A list that may have grown shorter since it was painted; its marked line is reversed."""

    def get_visual_style(self, *component_classes: str, partial: bool = False) -> Style:
        """As ever, and reversed where the style sheet says so: Textual leaves that out."""
        style = super().get_visual_style(*component_classes, partial=partial)
        if any(self.get_component_styles(name).text_style.reverse for name in component_classes):
            return style + Style(reverse=True)
        return style

    async def _on_click(self, event: Click) -> None:
        """A click on a line that is no longer there chooses nothing."""
        place = event.style.meta.get("option")
        if place is not None and place >= self.option_count:
            event.prevent_default()
