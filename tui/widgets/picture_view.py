"""Lines of a picture that is drawn for the room it has."""

from textual.message import Message

from tui.widgets.line_view import LineView


class PictureView(LineView):
    """A picture; posts ``Sized`` when it got another size and must be drawn anew."""

    class Sized(Message):
        """The picture has another size."""

    def on_resize(self) -> None:
        """Ask for the picture in the new size."""
        super().on_resize()
        self.post_message(self.Sized())
