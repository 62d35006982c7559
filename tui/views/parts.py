"""Custom parts on the build screen: pictures, usual shapes, steps, templates, mending findings."""

from functools import partial

from textual import on
from textual.timer import Timer

from domain.build.edits import Edit, EditRefused, describe
from domain.build.records import Build
from domain.document.records import label
from domain.findings import Finding
from domain.sheet import Sheet
from tui.screens.dialogs import Pick
from tui.screens.grid_view import fitted
from tui.tables.parts import part_of
from tui.views.studies import StudyActions
from tui.widgets.grid import Grid
from tui.widgets.line_view import Line, Span, plain_line
from tui.widgets.pane_lines import sorted_findings
from tui.widgets.picture_view import PictureView

TRY_AFTER_S = 0.3
"""A mending edit is looked for once nothing was pressed for this long [s]."""
MOST_HOLES_TRIED = 300
"""In a build with more holes, it is only looked for when it is asked for."""
MOST_RUNS_TRIED = 24
"""The same for runs: trying an edit works the whole build out again."""


class PartActions(StudyActions):
    """What is seen and done in the view of custom parts."""

    _mended: tuple[Build, Finding, Edit | None] | None = None
    """The last answer: the pane asks at every key."""
    _try_soon: Timer | None = None

    # Pictures

    def part_here(self) -> str:
        """The part of the record with the cursor, else the one that is chosen in the table."""
        if self.view != "parts":
            return ""
        build = self.workbench.build
        return part_of(build, self.grid.row_id) or self._chosen_part()

    def _chosen_part(self) -> str:
        return next((grid.row_id for grid in self.grids() if grid.spec.id == "parts"), "")

    def show_picture(self, build: Build | None = None) -> None:
        """The part as it is, or as it would be, below the tables."""
        view = self.query_one("#picture", PictureView)
        if self.view != "parts" or not view.size.width or not view.size.height:
            return
        # Late: only this view draws parts.
        from tui.pictures.folded_part import both_pictures

        build = build or self.workbench.build
        part = self.part_here()
        title = Line((Span(" No part yet", "bold"),))
        if part:
            hints = (
                ("  ctrl+t: larger, steps", "look"),
                ("   ctrl+l: template", "to_paper"),
                ("   ctrl+k: sheets to cut", "cut_sheets"),
            )
            spans = [Span(f" {label(build, part)}", "bold")]
            spans += [Span(text, "", action) for text, action in hints]
            title = fitted(spans, view.size.width)
        width, height = view.size.width, view.size.height
        here = self.grid.row_id if self.grid.spec.id in ("panels", "holes") else ""
        lines = both_pictures(build, part, width - 1, height - 1, here)
        view.show([title, *(plain_line(f" {line}") for line in lines)])

    def show_all(self) -> None:
        """Show the build as it is now, its picture too."""
        super().show_all()
        self.show_picture()

    def show_preview(self, sheet: Sheet | None) -> None:
        """Figures and picture while a value is being typed."""
        super().show_preview(sheet)
        self.show_picture(self.workbench.previewed if sheet is not None else None)

    def focus_grid(self, grid: Grid) -> None:
        """The picture marks what the cursor is on."""
        super().focus_grid(grid)
        self.show_picture()

    @on(PictureView.Sized)
    def _picture_sized(self) -> None:
        self.show_picture()

    def look_at_part(self) -> None:
        """The picture of the part with the cursor, as large as the screen."""
        part = self.part_here()
        if not part:
            self.say("There is no part yet: ctrl+n in the table of parts adds one")
            return
        from tui.pages.part import PartPage

        self.app.push_screen(PartPage(self.workbench, part))

    def action_all_parts(self) -> None:
        """Panels and holes of the part with the cursor only, or of all."""
        if self.view != "parts":
            self.say("This belongs to the custom parts (F6)")
            return
        self.one_part = not self.one_part
        self.show_grids()
        self.focus_grid(self.grid)
        self.say(
            "Panels and holes of this part" if self.one_part else "Panels and holes of all parts"
        )

    def caption(self, grid: Grid) -> str:
        """Tables that are narrowed to a part say to which."""
        if grid.spec.id not in ("panels", "holes", "mounts") or not self.one_part:
            return super().caption(grid)
        part = self._chosen_part()
        name, _, rest = grid.spec.caption.partition(":")
        of = f" of {label(self.workbench.build, part)}" if part else ""
        return f"{name}{of}{':' if rest else ''}{rest}"

    # Adding

    def action_add(self) -> None:
        """Add a row; a part in one of the usual shapes."""
        if self.grid.spec.table != "parts":
            super().action_add()
            return
        if not self.editing.confirm():
            return
        from domain.fabrication.presets import PRESETS

        names = list(PRESETS)

        def chosen(place: int | None) -> None:
            if place is not None:
                self._add_shape(names[place])

        self.app.push_screen(Pick("Add a part of this shape", names), chosen)

    def action_duplicate(self) -> None:
        """Add a copy of the row; that of a part is shown with its own panels."""
        super().action_duplicate()
        if self.view == "parts":
            self.show_grids()
            self.show_captions()
            self.show_picture()

    def _add_shape(self, shape: str) -> None:
        from domain.fabrication.presets import preset

        build = self.workbench.build
        zone = build.zones[-1].id if build.zones else ""
        try:
            edit = preset(build, shape, zone=zone)
        except EditRefused as error:
            self.say(f"Not added: {error}", bad=True)
            return
        self._commit_row(edit, "name")
        self.show_grids()
        self.focus_grid(self.grid)

    # Making

    def action_steps(self) -> None:
        """The steps that make the part with the cursor."""
        part = self.part_here()
        if not part:
            self.say("Go to a custom part first (F6)")
            return
        from tui.pages.part import StepsPage

        self.app.push_screen(StepsPage(self.workbench.build, part))

    def action_to_paper(self) -> None:
        """Write the template of the part with the cursor."""
        part = self.part_here()
        if not part:
            self.say("Go to a custom part for its template (F6), or to the pack (F8)")
            return
        from tui.pages.template import ask_for_template

        ask_for_template(self.app, self.workbench, part)

    def action_cut_sheets(self) -> None:
        """The sheets that the whole build is cut from."""
        if not self.workbench.build.parts:
            self.say("There is no custom part yet, so no sheet to cut (F6)")
            return
        if not self.editing.confirm():
            return
        from tui.pages.cut_sheets import SheetsPage

        def to_sizes() -> None:
            self.run_worker(self._to_sizes())

        self.app.push_screen(SheetsPage(self.workbench, self.show_all, to_sizes))

    async def _to_sizes(self) -> None:
        await self.show_view("parts")
        self.focus_grid(self.query_one("#grid-stock", Grid))

    # Mending

    def mending(self) -> str:
        """What the edit is called that mends the finding at hand, as far as it is known yet.

        Empty: there is none, or it is being looked for; then the pane is shown again.
        """
        build, found = self.workbench.build, self._finding_at_hand()
        if found is None:
            return ""
        if self.tried:
            edit = self._mended[2] if self._mended else None
            return describe(edit) if edit is not None else ""
        if self._try_soon is not None:
            self._try_soon.stop()
        if len(build.holes) <= MOST_HOLES_TRIED and len(build.runs) <= MOST_RUNS_TRIED:
            self._try_soon = self.set_timer(TRY_AFTER_S, partial(self._try, build, found))
        return ""

    @property
    def tried(self) -> bool:
        """Whether it is known which edit, if any, mends the finding at hand."""
        last, found = self._mended, self._finding_at_hand()
        return last is not None and last[0] is self.workbench.build and last[1] == found

    def _try(self, build: Build, found: Finding) -> None:
        """Look for the edit beside the screen: every edit tried works the build out again."""

        def look() -> None:
            from domain.mending import mend

            self.app.call_from_thread(self._tried, build, found, mend(build, found))

        self.run_worker(look, thread=True, exclusive=True, group="mending", exit_on_error=False)

    def _tried(self, build: Build, found: Finding, edit: Edit | None) -> None:
        if self.workbench.build is build and self._finding_at_hand() == found:
            self._mended = (build, found, edit)
            if edit is not None and not self.editing.open:
                self.show_figures()

    def action_mend(self) -> None:
        """Make the edit that mends the finding at hand."""
        found = self._finding_at_hand()
        if found is None:
            self.say("There is no finding to mend")
            return
        build = self.workbench.build
        if not self.tried:
            from domain.mending import mend

            self._mended = (build, found, mend(build, found))
        edit = self._mended[2] if self._mended else None
        if edit is None:
            self.say(f"No edit is known that mends this by itself. Do: {found.do}")
            return
        if self.commit(edit):
            self.mended()
            self.say(f"Mended: {describe(edit)}. ctrl+z takes it back, ctrl+g: next finding")

    def mended(self) -> None:
        """The finding at hand is gone: the one in its place is the next."""

    def _finding_at_hand(self) -> Finding | None:
        findings = sorted_findings(self.workbench.sheet)
        return findings[min(self.at_hand, len(findings) - 1)] if findings else None

    async def go_to(self, table: str, id: str, field: str) -> None:
        """As ever; in the view of parts, to the part that it belongs to first."""
        build = self.workbench.build
        part = part_of(build, id) if table in ("panels", "holes", "mounts") else ""
        if part and self.one_part and self.editing.confirm():
            await self.show_view("parts")
            parts = self.query_one("#grid-parts", Grid)
            parts.go(part, "name")
            self.show_grids()
        await super().go_to(table, id, field)
