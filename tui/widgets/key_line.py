"""One line of keys that can be clicked: the tab line at the top and the key line at the bottom."""

from collections.abc import Sequence

from tui.widgets.line_view import Line, LineView, Span


class KeyLine(LineView):
    """Keys with their words; a click posts ``Chosen`` with the action's id."""

    DEFAULT_CSS = """
    KeyLine { height: 1; }
    """

    def show_keys(self, keys: Sequence[tuple[str, str, str]], current: str = "") -> None:
        """Show keys as (key, word, action id); the current one stands in brackets."""
        spans: list[Span] = []
        before = ""
        for key, word, action in keys:
            here = action == current
            spans.append(Span("[" if here else "]" if before == current and before else " "))
            style = " reverse" if here else ""
            spans.append(Span(key, "bold" + style, action))
            if word:
                spans.append(Span(f" {word}", style.strip(), action))
            before = action
        spans.append(Span("]" if before == current and before else " "))
        self.show([Line(tuple(spans))])
