"""The page of custom parts: pictures, usual shapes, steps, templates, footprints of devices."""

from functools import partial
from typing import Any, ClassVar

from domain.build.records import Footprint, Hole, Mount, Panel, Part, Stud
from domain.document.records import find, label
from tui.actions import Action
from tui.grids.scrolling import fitted
from tui.grids.view import SpecialTables
from tui.tables.columns import Column
from tui.tables.table_spec import TableSpec
from tui.views.build import footprints, holding
from tui.views.build.build_view import BuildView
from tui.views.build.part_tables import FixingTable, OnPanelTable, PanelTable, PartTable, StudTable
from tui.widgets.line_view import Line, Span, plain_line
from tui.widgets.picture_view import PictureView

_HINTS = (
    ("  ctrl+t: larger, steps", "look"),
    ("   ctrl+l: template", "to_paper"),
    ("   ctrl+k: sheets to cut", "cut_sheets"),
)


class PartsView(BuildView):
    """Custom parts with a picture of the one with the cursor."""

    id = "parts"
    title = "Custom parts"
    key = "f6"
    short_title = "Parts"
    routes = True
    with_picture = True
    actions: ClassVar[tuple[Action["PartsView"], ...]] = (
        Action(
            "cut_sheets",
            "Sheets to cut",
            "the blanks of all custom parts on sheets, to scale; "
            "saw or router, kerf, sizes in stock",
            ("ctrl+k",),
            lambda view: view.show_cut_sheets(),
        ),
        Action(
            "all_parts",
            "Flanges of all parts",
            "show flanges and holes of all parts, or of one",
            (),
            lambda view: view.show_one_or_all(),
            elsewhere="This belongs to the custom parts (F6)",
        ),
        Action(
            "steps",
            "Making steps",
            "the steps that make the custom part with the cursor, "
            "in order, with tools and cautions",
            (),
            lambda view: view.show_steps(),
            elsewhere="Go to a custom part first (F6)",
        ),
        Action(
            "screw_on",
            "Screw the part on",
            "choose what it is screwed to: the screws and their holes are put in",
            ("alt+s",),
            holding.screw_on,
            elsewhere=holding.NO_PART,
        ),
        Action(
            "carry",
            "Mount something on the part",
            "a device of the plan, a fuse holder, or a hole pattern of this build or the shop",
            ("alt+c",),
            holding.carry_something,
            elsewhere=holding.NO_PART,
        ),
        Action(
            "both_hands",
            "Left and right hand",
            "make the part as many times again mirrored, or no longer",
            ("alt+m",),
            holding.both_hands,
            elsewhere=holding.NO_PART,
        ),
        Action(
            "corner_screws",
            "Screws of this hole pattern in a rectangle",
            "give the hole pattern with the cursor four screws, or two, by their distances",
            ("alt+o",),
            holding.corner_screws,
            elsewhere=footprints.NONE_HERE,
        ),
        Action(
            "take_footprint",
            "Take a hole pattern from the shop",
            "add a copy of one of the shop's hole patterns to this build, with its studs",
            ("alt+a",),
            footprints.take,
        ),
        Action(
            "keep_footprint",
            "Keep this hole pattern in the shop",
            "put a copy of the hole pattern with the cursor into the shop, for every other build",
            ("alt+k",),
            lambda view: view.keep_footprint(),
            elsewhere=footprints.NONE_HERE,
        ),
    )
    special_tables: ClassVar[SpecialTables] = {
        "parts": PartTable,
        "panels": PanelTable,
        "holes": partial(
            OnPanelTable, needed=("panels",), why="a hole is in a flange: add a part first"
        ),
        "mounts": partial(
            OnPanelTable,
            needed=("footprints", "panels"),
            why="a mount puts a hole pattern on a flange: add a hole pattern and a part",
        ),
        "fixings": FixingTable,
        "studs": StudTable,
    }
    one_part = True
    """Whether panels and holes of one part only are shown."""

    # Which part

    def part_here(self) -> str:
        """The part of the record with the cursor, else the one that is chosen in the table."""
        from tui.tables.parts import part_of

        return part_of(self.bench.build, self.screen.grid.row_id) or self.chosen_part()

    def chosen_part(self) -> str:
        """The part that is chosen in the table of parts; empty: there is none."""
        return self.tables["parts"].grid.row_id

    def narrowed_to(self) -> str:
        """The chosen part, unless those of all are shown."""
        return self.chosen_part() if self.one_part else ""

    def narrowed_caption(self, spec: TableSpec) -> str:
        """A caption with the part that the table is narrowed to."""
        if not self.one_part:
            return spec.caption
        part = self.chosen_part()
        name, _, rest = spec.caption.partition(":")
        of = f" of {label(self.bench.build, part)}" if part else ""
        return f"{name}{of}{':' if rest else ''}{rest}"

    async def before_going_to(self, id: str) -> None:
        """Choose the part that the record belongs to."""
        from tui.tables.parts import part_of

        part = part_of(self.bench.build, id)
        if part and self.one_part and await self.screen.show_view(self):
            self.tables["parts"].grid.go(part, "name")
            self.screen.show_grids()

    def row_copied(self) -> None:
        """The copy of a part is shown with its own panels."""
        self.screen.show_tables()
        self.draw()

    def show_one_or_all(self) -> None:
        """Panels and holes of the part with the cursor only, or of all."""
        self.one_part = not self.one_part
        self.screen.show_grids()
        self.screen.focus_grid(self.screen.grid)
        self.screen.say(
            "Flanges and holes of this part" if self.one_part else "Flanges and holes of all parts"
        )

    # Pictures and workings

    def draw(self, *, typing: bool = False) -> None:
        """The part as it is, or as it would be, below the tables."""
        view = self.screen.query_one("#picture", PictureView)
        width, height = view.size.width, view.size.height
        if not width or not height:
            return
        # Late: only this view draws parts.
        from tui.pictures.folded_part import both_pictures

        build = self.bench.previewed if typing else self.bench.build
        part = self.part_here()
        title = Line((Span(" No part yet", "bold"),))
        if part:
            spans = [Span(f" {label(build, part)}", "bold")]
            spans += [Span(text, "", action) for text, action in _HINTS]
            title = fitted(spans, width)
        grid = self.screen.grid
        marked = isinstance(find(build, grid.row_id), Panel | Hole)
        lines = both_pictures(build, part, width - 1, height - 1, grid.row_id if marked else "")
        view.show([title, *(plain_line(f" {line}") for line in lines)])

    def look(self) -> None:
        """The picture of the part with the cursor, as large as the screen."""
        part = self.part_here()
        if not part:
            self.screen.say("There is no part yet: ctrl+n in the table of parts adds one")
            return
        from tui.pages.part import PartPage

        self.screen.app.push_screen(PartPage(self.bench, part))

    def workings(self, column: Column, record: Any) -> tuple[str, list[str]]:
        """Of a part's strength too."""
        from tui.tables.workings import STRENGTH, figures_behind, strength_lines

        if isinstance(record, Part) and column.field in STRENGTH:
            build, sheet = self.bench.build, self.bench.sheet
            shown = f"{column.title.lstrip('·')}: {column.shown(build, sheet, record)}"
            lines = strength_lines(self.plan(), figures_behind(column, record), shown)
            return label(build, record.id), lines
        return super().workings(column, record)

    # Making

    def show_steps(self) -> None:
        """The steps that make the part with the cursor."""
        part = self.part_here()
        if not part:
            self.screen.say("Go to a custom part first (F6)")
            return
        from tui.pages.part import StepsPage

        self.screen.app.push_screen(StepsPage(self.bench.build, part))

    def to_paper(self) -> None:
        """Write the template of the part with the cursor."""
        part = self.part_here()
        if not part:
            super().to_paper()
            return
        from tui.pages.template import ask_for_template

        ask_for_template(self.screen.app, self.bench, part)

    def show_cut_sheets(self) -> None:
        """The sheets that the whole build is cut from."""
        screen = self.screen
        if not self.bench.build.parts:
            screen.say("There is no custom part yet, so no sheet to cut (F6)")
            return
        if not screen.editing.confirm():
            return
        from tui.pages.cut_sheets import SheetsPage

        def to_sizes() -> None:
            screen.call_later(self._to_sizes)

        screen.app.push_screen(SheetsPage(self.bench, screen.show_all, to_sizes))

    async def _to_sizes(self) -> None:
        if await self.screen.show_view(self):
            self.screen.focus_grid(self.tables["stock"].grid)

    # Footprints

    def keep_footprint(self) -> None:
        """Put a copy of the footprint with the cursor into the shop."""
        record = find(self.bench.build, self.screen.grid.row_id)
        if isinstance(record, Stud | Mount):
            footprints.keep(self, record.footprint)
        else:
            footprints.keep(self, record.id if isinstance(record, Footprint) else "")
