"""A table of records with a cell cursor. Draws only the cells that changed.

It never has the focus: the screen takes all keys, in the order typed, and only one table
shows its cursor. A change of focus would send the whole screen again.
"""

from collections.abc import Collection, Sequence
from functools import cache
from operator import ne
from typing import Any, Self

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from rich.text import Text
from textual.events import MouseMove
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.widgets import DataTable

from tui.tables.table_spec import TableSpec, narrowed
from tui.widgets.cell_text import cut_between, left
from tui.widgets.speech import AS_WRITTEN, speech_of_app

FIXED = 1
"""Columns that stay when a table is scrolled sideways."""

BY_OTHERS = "bold underline"
"""Style of what somebody else has changed just now."""


DRAWN = frozenset(
    f"datatable--{part}" for part in ("header", "header-cursor", "fixed", "cursor", "fixed-cursor")
)
"""Parts of a table that have a style of their own: each is a node in every table."""


class Grid(DataTable[Text], can_focus=False):
    """One table of a view."""

    @classmethod
    @cache
    def _get_component_classes(cls) -> frozenset[str]:
        """As ever, but no stripes and no hover marks: those are never drawn."""
        return DRAWN

    class Clicked(Message):
        """A cell of this table was clicked; the cursor is already there."""

        def __init__(self, grid: "Grid") -> None:
            super().__init__()
            self.grid = grid

    class Refitted(Message):
        """Other columns are shown now, or they are wider: what stands over them is told anew."""

        def __init__(self, grid: "Grid") -> None:
            super().__init__()
            self.grid = grid

    def __init__(self, spec: TableSpec, wanted: Sequence[str] = ()) -> None:
        self._quiet = False
        self.whole = spec
        """The table with all its columns."""
        self.spec = spec
        """The table with the columns that are shown."""
        self._wanted = tuple(id for id in wanted if any(id == c.id for c in spec.columns))
        """Ids of the columns that somebody has chosen; none: as many as there is room for."""
        self._rows: list[tuple[str, tuple[str, ...]]] = []
        """Its rows as they were loaded, with the cells of all columns."""
        self.spec = narrowed(spec, self._fitting(0))
        super().__init__(
            id=f"grid-{spec.id}",
            fixed_columns=FIXED,
            cell_padding=0,
            show_cursor=False,
            classes="grid",
        )
        self._shown: list[tuple[str, tuple[str, ...]]] = []
        self._marks: set[tuple[str, int]] = set()
        """Row and column of what others have changed just now."""
        self._open: tuple[str, str, str, int, bool] | None = None
        """The cell that is typed into: its row and column, the text, its cursor, whether marked.

        However often the table is filled or laid out anew, this is what stands there.
        """
        self._wider = 0
        """Cells that the column which stretches has beyond its own width."""
        self._titles = {column.id: column.title for column in self.whole.columns}
        self._said = AS_WRITTEN
        """In whose words titles and cells stand."""
        self._add_columns()

    # Which columns are shown

    @property
    def hidden(self) -> int:
        """How many columns are not shown."""
        return len(self.whole.columns) - len(self.spec.columns)

    def want(self, ids: Sequence[str]) -> None:
        """Show these columns from now on; none: those of the beginning."""
        self._wanted = tuple(ids)
        self._show_columns(self._fitting(self.size.width))

    def _fitting(self, room: int) -> Sequence[str]:
        """Ids of the columns to show: the chosen ones, else the first, as there is room."""
        if self._wanted:
            return self._wanted
        columns = self.whole.columns
        most, taken = self.whole.at_first or len(columns), 0
        for place, column in enumerate(columns):
            taken += column.width + 2
            if place >= most and taken > room:
                return [column.id for column in columns[:place]]
        return [column.id for column in columns]

    def _show_columns(self, ids: Collection[str]) -> None:
        spec = narrowed(self.whole, ids)
        if spec.columns == self.spec.columns:
            return
        row, place = self.cursor_coordinate
        at = self.spec.columns[place].id
        self.spec = spec
        self._marks.clear()
        self._shown = self._of_shown(self._rows)
        here = [column.id for column in spec.columns]
        self._remake(row, here.index(at) if at in here else min(place, len(here) - 1))

    def _of_shown(
        self, rows: Sequence[tuple[str, tuple[str, ...]]]
    ) -> list[tuple[str, tuple[str, ...]]]:
        """The cells of the columns that are shown."""
        if not self.hidden:
            return list(rows)
        shown = {column.id for column in self.spec.columns}
        places = [place for place, c in enumerate(self.whole.columns) if c.id in shown]
        return [(id, tuple(texts[place] for place in places)) for id, texts in rows]

    def _remake(self, row: int, place: int) -> None:
        """Columns and rows anew, with the cursor on this cell."""
        self.post_message(self.Refitted(self))
        self.clear(columns=True)
        self._add_columns()
        for id, texts in self._shown:
            self.add_row(*(self._text(i, t, id) for i, t in enumerate(texts)), key=id)
        if self._shown:
            self.move_cursor(row=max(row, 0), column=place)

    def _add_columns(self) -> None:
        for place, column in enumerate(self.spec.columns):
            width = self._width(place)
            title = Text(_padded(self._said(self._titles[column.id]), width), end="")
            self.add_column(title, width=width + 2, key=column.id)

    def _width(self, place: int) -> int:
        """Cells for the text of a column."""
        column = self.spec.columns[place]
        return column.width + (self._wider if column.id == self.spec.stretches else 0)

    def call(self, column: str, title: str) -> None:
        """Give a column another title."""
        if self._titles[column] == title:
            return
        self._titles[column] = title
        self._retitle(column)

    def _retitle(self, column: str) -> None:
        columns = [each.id for each in self.spec.columns]
        if column not in columns:
            return
        title, place = self._said(self._titles[column]), columns.index(column)
        text = Text(_padded(title, self._width(place)), end="")
        self.ordered_columns[place].label = text
        self._clear_caches()
        self.refresh(Region(0, 0, self.size.width, 1))

    def stretch(self, room: int) -> None:
        """Give the column that stretches the width that the others leave."""
        wider = max(room - sum(column.width + 2 for column in self.spec.columns), 0)
        if not self.spec.stretches or wider == self._wider:
            return
        self._wider = wider
        self._remake(*self.cursor_coordinate)

    def load(
        self, rows: Sequence[tuple[str, tuple[str, ...]]], by_others: Collection[str] = ()
    ) -> None:
        """Show rows as (id, cell texts of all columns). The cursor stays on its record.

        What others have changed, in rows with these ids, is marked until ``unmark``.
        """
        said = speech_of_app(self.app)
        if said is not self._said:
            self._said = said
            for column in self.spec.columns:
                self._retitle(column.id)
        if said is not AS_WRITTEN:
            rows = [(id, tuple(map(said, texts))) for id, texts in rows]
        self._rows = list(rows)
        old, self._shown = self._shown, self._of_shown(rows)
        rows = self._shown
        if by_others:
            was = dict(old)
            self._marks |= {
                (id, place)
                for id, texts in rows
                if id in by_others
                for place, text in enumerate(texts)
                if id not in was or was[id][place] != text
            }
        if [id for id, _ in old] != [id for id, _ in rows]:
            self._rebuild(old)
            return
        for row, ((id, before), (_, after)) in enumerate(zip(old, rows, strict=True)):
            changed = [i for i, text in enumerate(after) if before[i] != text]
            for place in changed:
                self._put(id, place, self._text(place, after[place], id))
            if changed:
                self._draw(row, changed[-1])

    def unmark(self) -> None:
        """What others have changed is marked no longer."""
        marks, self._marks = self._marks, set()
        for row, (id, texts) in enumerate(self._shown):
            places = [place for place in range(len(texts)) if (id, place) in marks]
            for place in places:
                self._put(id, place, self._text(place, texts[place], id))
            if places:
                self._draw(row, places[-1])

    def _rebuild(self, old: Sequence[tuple[str, tuple[str, ...]]]) -> None:
        row, column = self.cursor_coordinate  # row -1 once a key was pressed in an empty table
        row = max(row, 0)
        at = old[row][0] if row < len(old) else ""
        self.clear()
        for id, texts in self._shown:
            self.add_row(*(self._text(i, t, id) for i, t in enumerate(texts)), key=id)
        ids = [id for id, _ in self._shown]
        row = ids.index(at) if at in ids else min(row, len(ids) - 1)
        if ids:
            self.move_cursor(row=row, column=column)

    def _put(self, id: str, place: int, text: Text) -> None:
        """Set a cell without drawing the whole table again."""
        self._quiet = True
        self.update_cell(id, self.spec.columns[place].id, text)
        self._quiet = False

    def _draw(self, row: int, last: int) -> None:
        """Draw a row up to a column, once for all its changed cells."""
        self.refresh(self._cells_region(row, 0, last))

    def _cells_region(self, row: int, first: int, last: int) -> Region:
        """Cells of a row, within the table as it is scrolled."""
        widths = [column.get_render_width(self) for column in self.ordered_columns]
        x = sum(widths[:first]) - (self.scroll_offset.x if first >= self.fixed_columns else 0)
        end = sum(widths[: last + 1]) - (self.scroll_offset.x if last >= self.fixed_columns else 0)
        y = self.header_height + row - self.scroll_offset.y
        return Region(x, y, max(end - x, 0), 1)

    def draw_edit(
        self, row_id: str, column_id: str, text: str, cursor: int, *, marked: bool = False
    ) -> None:
        """Draw the text that is being typed in its cell, with its cursor (-1: as it was).

        A marked text is drawn reversed: what is typed next takes its place.
        """
        self._open = (row_id, column_id, text, cursor, marked) if cursor >= 0 else None
        ids, columns = self.row_ids, [c.id for c in self.spec.columns]
        if row_id not in ids or column_id not in columns:
            return
        row, place = ids.index(row_id), columns.index(column_id)
        self._put(row_id, place, self._text(place, self._shown[row][1][place], row_id))
        self._draw(row, place)

    def refresh(
        self, *regions: Region, repaint: bool = True, layout: bool = False, recompose: bool = False
    ) -> Self:
        """As ever, but a single cell's update does not draw the whole table."""
        if self._quiet and not regions:
            return self
        return super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)

    @property
    def max_scroll_x(self) -> int:
        """As ever, and on to where the next column begins."""
        return self._column_start(super().max_scroll_x)

    def validate_scroll_x(self, value: float) -> float:
        """Only to where a column begins: "0 A" must not stand for the rest of "100 A"."""
        return self._column_start(super().validate_scroll_x(value))

    def _column_start(self, x: float) -> int:
        """The first place from here on where a column begins behind the fixed one."""
        start = 0
        for column in self.spec.columns[FIXED:]:
            if start >= x:
                break
            start += column.width + 2
        return start

    def watch_scroll_x(self, old_value: float, new_value: float) -> None:
        """Draw the whole table where it is scrolled sideways.

        A table that is scrolled while its view is only just being shown has no size yet, and
        what is drawn for the scrolling then is nothing; it is drawn again once it stands.
        """
        super().watch_scroll_x(old_value, new_value)
        if round(old_value) != round(new_value):
            self.call_after_refresh(self.refresh)

    def _text(self, place: int, text: str, id: str) -> Text:
        column, width = self.spec.columns[place], self._width(place)
        if self._open is not None and self._open[:2] == (id, column.id):
            _, _, typed, cursor, marked = self._open
            return _with_cursor(typed, cursor, width, marked)
        style = column.style(text)
        if (id, place) in self._marks:
            style = BY_OTHERS
        if column.end_tells:
            text = cut_between(text, width)
        return Text(_padded(text, width), style, no_wrap=True, end="")

    def _render_cell(
        self,
        row_index: int,
        column_index: int,
        base_style: Style,
        width: int,
        cursor: bool = False,
        hover: bool = False,
    ) -> list[list[Segment]]:
        """As ever, but a cell of one style, which fills its width, needs no laying out."""
        cell = self._get_row_renderables(row_index)[1][column_index]
        if not isinstance(cell, Text) or cell.spans or cell.cell_len != width:
            return super()._render_cell(
                row_index, column_index, base_style, width, cursor=cursor, hover=hover
            )
        header = row_index == -1
        component, post = self._get_styles_to_render_cell(
            header,
            False,
            not header and column_index < self.fixed_columns,
            hover,
            cursor,
            self.show_cursor,
            self._show_hover_cursor,
            self.cursor_foreground_priority == "css",
            self.cursor_background_priority == "css",
        )
        style = base_style + Style.from_meta({"row": row_index, "column": column_index}) + component
        style += self.app.console.get_style(cell.style, default="") + post
        return [[Segment(cell.plain, style)]]

    def render_line(self, y: int) -> Strip:
        """As ever, but whole columns only: "14.30" must not stand for "14.30 V"."""
        strip, whole = super().render_line(y), self._whole_columns(self.size.width)
        if whole >= strip.cell_length:
            return strip
        return strip.crop(0, whole).extend_cell_length(self.size.width)

    def _whole_columns(self, room: int) -> int:
        """Cells of the columns that are seen in full; all of the room where only one would be."""
        widths = [column.get_render_width(self) for column in self.ordered_columns]
        taken = first = sum(widths[: self.fixed_columns])
        x = taken - self.scroll_offset.x
        for width in widths[self.fixed_columns :]:
            x += width
            if x > room:
                return taken if taken > first else room
            taken = max(taken, x)
        return room

    @property
    def columns_width(self) -> int:
        """Cells that all columns take together."""
        return sum(self._width(place) + 2 for place in range(len(self.spec.columns)))

    @property
    def row_id(self) -> str:
        """Id of the record under the cursor, or empty."""
        row = self.cursor_row
        return self._shown[row][0] if 0 <= row < len(self._shown) else ""

    @property
    def row_ids(self) -> list[str]:
        """Ids of all rows from top to bottom."""
        return [id for id, _ in self._shown]

    def go(self, id: str, column: str) -> bool:
        """Put the cursor on a cell; false when there is no such row or column."""
        ids = self.row_ids
        if id not in ids or all(column != each.id for each in self.whole.columns):
            return False
        columns = [each.id for each in self.spec.columns]
        if column not in columns:  # one goes to a column that is not shown: it is from now on
            self._show_columns({*columns, column})
            columns = [each.id for each in self.spec.columns]
        self.move_cursor(row=ids.index(id), column=columns.index(column))
        return True

    def cell_region(self) -> Region:
        """Where the cell under the cursor is on the screen."""
        row, column = self.cursor_coordinate
        return self._cells_region(row, column, column).translate(self.content_region.offset)

    def _scroll_cursor_into_view(self, animate: bool = False) -> None:
        """As ever, but by most of a page: every step that scrolls sends what differs in its rows.

        Of the places near three quarters of a page the one is taken where least differs: in a long
        list feeds and grounds take turns.
        """
        rows, top = self.size.height - self.header_height, self.scroll_offset.y
        row = self.cursor_row
        if rows > 4 and not top <= row < top + rows:
            past = range(rows // 8, rows // 2)
            down = row >= top + rows
            places = [max(row - by if down else row - rows + 1 + by, 0) for by in past]
            y = min(places, key=lambda place: self._differing(top, place, rows))
            self.scroll_to(y=y, animate=False, immediate=True)
        super()._scroll_cursor_into_view(animate)

    def _differing(self, top: int, other: int, rows: int) -> int:
        """How many signs of the rows seen from one place differ from those from another."""
        found = 0
        for place in range(min(rows, len(self._shown) - max(top, other))):
            here, there = self._shown[top + place][1], self._shown[other + place][1]
            for one, two in zip(here, there, strict=True):
                if one != two:
                    found += sum(map(ne, one, two)) + abs(len(one) - len(two))
        return found

    def on_resize(self) -> None:
        """As many columns as there is room for; one of them may take what the others leave."""
        if self.whole.at_first and not self._wanted:
            here = self.spec.columns[max(self.cursor_column, 0)].id
            self._show_columns({*self._fitting(self.size.width), here})
        self.stretch(self.size.width)
        # A cursor that was put somewhere before there was any room has scrolled for nothing.
        before = self.ordered_columns[: self.cursor_column + 1]
        widths = sum(column.get_render_width(self) for column in before)
        if self.scroll_x and widths <= self.size.width:
            self.scroll_to(x=0, animate=False, immediate=True)

    def on_click(self) -> None:
        """A click puts the cursor here, also from another table."""
        self.show_cursor = True
        self.post_message(self.Clicked(self))

    def on_mouse_move(self, event: MouseMove) -> None:
        """No hover marks: each would be sent over the line."""
        event.prevent_default()

    def _set_hover_cursor(self, active: bool) -> None:
        """Nor one where it was clicked: the cursor is there."""


def _padded(text: str, width: int) -> str:
    """A cell's text with a space on both sides, in one piece: each piece costs its own style."""
    return f" {left(text, width)} "


def _with_cursor(text: str, cursor: int, width: int, marked: bool) -> Text:
    """The stretch of a text around its cursor that fits, with its cursor."""
    start = cursor
    room = width - 1
    while start > 0 and room > 0:
        start -= 1
        room -= cell_len(text[start])
    shown = text[start:cursor] + (text[cursor:] or " ")
    place = cursor - start + 1
    drawn = Text(f" {set_cell_size(shown, width)} ", "bold not reverse", no_wrap=True, end="")
    drawn.stylize("reverse", 1 if marked else place, place + 1)
    return drawn


def cells_of(
    spec: TableSpec, build: Any, sheet: Any, part: str
) -> list[tuple[str, tuple[str, ...]]]:
    """The rows of a table as (id, cell texts)."""
    rows = []
    for record in spec.rows(build, sheet, part):
        texts = []
        for column in spec.columns:
            actual, subject = resolved(column, build, record)
            texts.append(actual.shown(build, sheet, subject))
        rows.append((record.id, tuple(texts)))
    return rows


def resolved(column: Any, build: Any, record: Any) -> tuple[Any, Any]:
    """Column and record that a cell stands for; a form's row brings its own of both."""
    own = getattr(record, "column", None)
    if own is not None and column.id == own.id:
        return own, record.subject(build)
    return column, record
