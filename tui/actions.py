"""What an action of the user is."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Action:
    """One user action. ``id`` names the screen's method ``action_<id>``."""

    id: str
    """Name of the action, also of its handler."""
    title: str
    """Two or three words for the palette and the help page."""
    help: str
    """One line on what it does."""
    keys: tuple[str, ...]
    """Keys that start it, the one to show first; empty: palette only."""
    where: str
    """Screen it belongs to: "builds", "build", "shop", or "cell" (keys inside the grid, help)."""
    short: str = ""
    """Word for the key line; empty: not on the key line."""
