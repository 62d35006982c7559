"""A view that is longer than the screen: scroll to the cursor, tell what lies out of sight."""

from collections.abc import Sequence

from rich.cells import cell_len
from textual.containers import VerticalScroll

from tui.widgets.cell_text import cut
from tui.widgets.grid import Grid
from tui.widgets.line_view import Line, Span


def scroll_to_cursor(view: VerticalScroll, grid: Grid) -> None:
    """Scroll a view so that the cell under the cursor of a table can be seen.

    By half of it at a time: every step sends all rows anew, and a key that is held on a slow line
    would be ahead of them.
    """
    if not view.region or not grid.virtual_region:
        return
    row = grid.cursor_row
    # Places within the view as it is laid out, whatever it is scrolled to at the moment.
    y = grid.virtual_region.y + grid.cell_region().y - grid.content_region.y
    top, height = view.scroll_offset.y, view.size.height
    first = y - 2 if row == 0 else y
    if y >= top + height:
        # A table that one comes to is shown from its caption on.
        view.scroll_to(y=first if row == 0 else y - height // 2, animate=False)
    elif first < top:
        view.scroll_to(y=max(first - height // 2, 0), animate=False)


def out_of_sight(view: VerticalScroll, grids: Sequence[Grid], width: int) -> Line:
    """Which tables and rows lie above and below what can be seen; a click goes there."""
    spans = [Span(" ")]
    above = [(g, n) for g in grids if (n := hidden_rows(g, view)[0])]
    below = [(g, n) for g in grids if (n := hidden_rows(g, view)[1])]
    for mark, hidden in (("▲ above: ", above), ("▼ more below: ", below)):
        for place, (grid, count) in enumerate(hidden):
            spans.append(Span(", " if place else mark, "bold"))
            rows = f" {min(count, grid.row_count)}" if grid.row_count else ""
            spans.append(Span(f"{grid.spec.name}{rows}", "", f"table:{grid.spec.id}"))
        if hidden:
            spans.append(Span("   "))
    return fitted(spans, width)


def hidden_rows(grid: Grid, view: VerticalScroll) -> tuple[int, int]:
    """How many rows of a table, its head with them, lie above and below what can be seen.

    None of a table that has no place yet.
    """
    if not grid.virtual_region:
        return 0, 0
    top, bottom = view.scroll_offset.y, view.scroll_offset.y + view.size.height
    place, lines = grid.virtual_region, grid.row_count + 1
    first = place.y - grid.scroll_offset.y
    above = max(top, place.y) - first if place.bottom > top else lines
    below = first + lines - min(bottom, place.bottom) if place.y < bottom else lines
    return min(max(above, 0), lines), min(max(below, 0), lines)


def fitted(spans: Sequence[Span], width: int) -> Line:
    """A line of as many spans as fit."""
    kept: list[Span] = []
    room = width
    for span in spans:
        if cell_len(span.text) > room:
            kept.append(Span(cut(span.text, room), span.style, span.target))
            break
        kept.append(span)
        room -= cell_len(span.text)
    return Line(tuple(kept))
