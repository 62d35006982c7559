"""A screen is drawn when a test looks at it: without a terminal nobody else does.

Drawing is a sixth of the work of a test. What is on the screen is drawn from its widgets each time
that it is read (``screen_text``), and once at the end, so that nothing that cannot be drawn passes.
"""

import pytest
from rich.console import RenderableType
from textual._compositor import Compositor
from textual._context import visible_screen_stack
from textual.screen import Screen

_render_update = Compositor.render_update


def draw_when_looked_at(patch: pytest.MonkeyPatch) -> None:
    """Have it so from now on."""
    patch.setattr(Compositor, "render_update", _undrawn)


def draw_each_time(patch: pytest.MonkeyPatch) -> None:
    """Have it as Textual has it: for a test of what is drawn, and when."""
    patch.setattr(Compositor, "render_update", _render_update)


def _undrawn(
    compositor: Compositor,
    full: bool = False,
    screen_stack: list[Screen[object]] | None = None,
    simplify: bool = False,
) -> RenderableType | None:
    visible_screen_stack.set(screen_stack or [])
    compositor._dirty_regions.clear()
    return None
