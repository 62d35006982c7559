"""One line of keys that can be clicked: the tab line at the top and the key line at the bottom."""

from collections.abc import Sequence

from rich.cells import cell_len

from tui.widgets.line_view import Line, LineView, Span

Keys = Sequence[tuple[str, str, str]]
"""Keys as (key, word, action id)."""


class KeyLine(LineView):
    """Keys with their words; a click posts ``Chosen`` with the action's id.

    Only whole keys are shown: where there is no room for all, the last ones are left out, but for
    those that lead to all others.
    """

    DEFAULT_CSS = """
    KeyLine { height: 1; }
    """

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._keys: Keys = ()
        self._current = ""
        self._staying: Sequence[str] = ()

    def show_keys(self, keys: Keys, current: str = "", staying: Sequence[str] = ()) -> None:
        """Show keys, the most important first; the current one stands in brackets.

        ``staying``: ids of those that are shown however little room there is.
        """
        self._keys, self._current, self._staying = keys, current, staying
        self._lay_out()

    def lend(self, line: Line) -> None:
        """Something else stands there, at any width, until keys are shown again."""
        self._keys = ()
        self.show([line])

    def on_resize(self) -> None:
        """Another width has room for other keys."""
        super().on_resize()
        if self._keys:
            self._lay_out()

    def _lay_out(self) -> None:
        current = self._current
        spans: list[Span] = []
        before = ""
        for key, word, action in fitting(self._keys, self.size.width, (current, *self._staying)):
            here = action == current
            spans.append(Span("[" if here else "]" if before == current and before else " "))
            style = " reverse" if here else ""
            spans.append(Span(key, "bold" + style, action))
            if word:
                spans.append(Span(f" {word}", style.strip(), action))
            before = action
        spans.append(Span("]" if before == current and before else " "))
        self.show([Line(tuple(spans))])


def fitting(keys: Keys, width: int, staying: Sequence[str] = ()) -> Keys:
    """The keys that there is room for, the first of them and those that stay; all without width."""

    def cells(key: str, word: str) -> int:
        return cell_len(key) + (1 + cell_len(word) if word else 0) + 1

    room = width - 1 - sum(cells(key, word) for key, word, id in keys if id in staying)
    kept = []
    for key, word, id in keys:
        if id not in staying:
            room -= cells(key, word)
        if id in staying or room >= 0 or not width:
            kept.append((key, word, id))
    return kept
