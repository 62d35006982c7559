"""What is told in passing, over a corner of the screen, until it was read."""

from time import time

from textual.app import App

READ_S = 1.5
"""Who types on after this [s] has seen it; a key that comes sooner was on its way already."""


def put_away_seen(app: App[int]) -> None:
    """A key was pressed: what stood there long enough to be seen covers nothing any longer."""
    for notice in list(app._notifications):
        if time() - notice.raised_at >= READ_S:
            app._unnotify(notice)
