"""In whose words a widget speaks: those of the build that is open."""

from collections.abc import Callable
from typing import Any

Speech = Callable[[str], str]

AS_WRITTEN: Speech = str
"""The program's own words, unchanged."""


def speak(app: Any, speech: Speech) -> None:
    """From now on widgets speak so."""
    app.speech = speech


def speech_of_app(app: Any) -> Speech:
    """What turns a text into the words of the open build; nothing is changed where none is."""
    said: Speech = getattr(app, "speech", AS_WRITTEN)
    return said
