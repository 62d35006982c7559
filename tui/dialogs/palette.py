"""Every command by name: typing finds it, enter starts it.

What fits is worked out within the key press, so that enter takes what the typed text stands
for, however quickly it follows.
"""

from collections.abc import Sequence

from rich.text import Text
from textual.app import SystemCommand
from textual.widgets.option_list import Option

from tui.dialogs.list_search import WIDTH, Find
from tui.widgets.cell_text import cut
from tui.widgets.speech import speech_of_app

_NONE = 5
"""How well a command fits that does not."""

_LEAST = 3
"""Letters of a word from which on it is looked for in what commands do."""


class Palette(Find):
    """Gives the place of the chosen command. Unasked it shows only those to be discovered."""

    def __init__(self, commands: Sequence[SystemCommand]) -> None:
        super().__init__("Commands", [command.title for command in commands])
        self._commands = commands

    def fitting(self, typed: str) -> list[int]:
        """The places of those that fit, best first; of equals in their own order."""
        if not typed.strip():
            return [place for place, each in enumerate(self._commands) if each.discover]
        pairs = zip(self._names, self._commands, strict=True)
        ranks = [rank(typed, name, each.help) for name, each in pairs]
        return sorted((at for at, how in enumerate(ranks) if how < _NONE), key=ranks.__getitem__)

    def option(self, place: int) -> Option:
        """Title, and below it what the command does."""
        command = self._commands[place]
        about = Text(cut(speech_of_app(self.app)(command.help), WIDTH), "dim")
        title = Text(cut(self._names[place], WIDTH), "bold")
        return Option(Text.assemble(title, "\n", about), id=str(place))


def rank(typed: str, name: str, about: str = "") -> int:
    """How well a command fits what is typed: 0 best, 5 not at all.

    Its name begins with it; each typed word begins a word of it; is in it; each is in what the
    command does; the name has the letters in their order.
    """
    text, words = name.casefold(), typed.casefold().split()
    if text.startswith(" ".join(words)):
        return 0
    if all(any(own.startswith(word) for own in text.split()) for word in words):
        return 1
    if all(word in text for word in words):
        return 2
    told = f"{text} {about.casefold()}"
    if all(len(word) >= _LEAST and word in told for word in words):
        return 3
    rest = iter(text)
    return 4 if all(letter in rest for letter in "".join(words)) else _NONE
