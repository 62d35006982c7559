"""The page of the wiring: the power side drawn as a tree, and a form of the thing gone to."""

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from msgspec.structs import replace
from textual.events import Key

from domain.build import actions
from domain.build.choices import Polarity
from domain.build.edits import EditRefused
from domain.build.records import Build, table_of
from domain.document.records import find, label
from domain.routes.lengths import to_measure
from domain.sheet import Sheet
from domain.topics.wiring import to_fold
from storage.errors import TransferError
from tui.actions import Action
from tui.grids.grid_screen import GridScreen
from tui.grids.pasting import is_rows
from tui.grids.shown_table import ShownTable
from tui.grids.view import SpecialTables, View
from tui.tables.lead_rows import lead_rows
from tui.tables.limb_figures import BY_KEY, Look, next_figure, next_state
from tui.tables.table_spec import TableSpec
from tui.tables.wiring import (
    DRAWING,
    FIGURE,
    FORM,
    NEXT_AMPLIFIER,
    WiringRow,
    told,
    wiring,
    wiring_spec,
)
from tui.views.build.build_view import BuildView
from tui.views.build.materials import Materials
from tui.views.build.record_table import RecordTable
from tui.views.build.shop_link import OpenShop
from tui.workbench import Workbench

if TYPE_CHECKING:
    from tui.tables.thing import FieldRow

ELSEWHERE = "Go to the wiring first (alt+1)"

LEADS_ELSEWHERE = "Single leads are added, copied and taken out on Amplifiers (F2)"

_AROUND = 10
"""Lines of the screen around the rows of the drawing."""

_BEGIN = ("power", "power_w", "length_m", "rated_a", "capacity_ah")
"""Fields of which the first in a form is the one to begin with."""

_BOTH = 30
"""Lines of a screen that has room for the drawing and a form below it."""


class WiringTable(RecordTable):
    """The drawing. A row is a wire with the device at its end."""

    view: "WiringView"

    @property
    def row(self) -> WiringRow | None:
        """The row with the cursor."""
        id = self.grid.row_id
        return next((row for row in self.view.rows() if row.id == id), None)

    def caption(self) -> str:
        """Which figure stands beside the wires."""
        return f"Wiring. {told(self.view.bench.sheet, self.view.looking)}"

    @property
    def on_drawing(self) -> bool:
        """Whether the cursor is on the drawing itself, and not on a figure beside it."""
        return self.grid.spec.columns[self.grid.cursor_column].id == DRAWING

    def entered(self) -> bool:
        """On the drawing the enter key opens the form of what is there."""
        row = self.row
        if not self.on_drawing or row is None:
            return False
        if row.column is not None:
            if not self.view.go_to_measure():
                self.screen.describe_cell()
            return True
        self.view.open_form(row)
        return True

    def take_key(self, key: str) -> bool:
        """Walk along the wires and fold; false where a key means nothing special here."""
        row = self.row
        if row is None or not self.on_drawing:
            return False
        folded = row.device in self.view.looking.folded
        if key == "left" and row.feeder:
            return self._go_to_device(row.feeder)
        if row.folds and (key == "space" or (key == "right" and folded)):
            self.view.fold(row.device)
            return True
        if key == "space" and row.column is None:
            self.screen.say("Space folds a block away, with all that it feeds: go to a block")
            return True
        return False

    def _go_to_device(self, device: str) -> bool:
        rows = self.view.rows()
        id = next((row.id for row in rows if row.device == device and not row.again), "")
        return self.grid.go(id, DRAWING)

    def add(self) -> None:
        """Choose what is added behind the device with the cursor."""
        from domain.build.additions import additions
        from tui.dialogs.boxes import Pick

        build = self.view.bench.build
        row = self.row if self.row and self.row.column is None and not self.row.leads else None
        plus = row is None or row.run is None or row.run.polarity is Polarity.POSITIVE
        options = list(additions(build, row.device if row else "", plus))
        title = f"Add behind {label(build, row.device)}" if row else "Add"
        names = [name for name, _ in options]

        def chosen(place: int | None) -> None:
            if place is None:
                return
            before = self.view.bench.build
            try:
                edit = options[place][1](before)
            except EditRefused as error:
                self.screen.warn(f"Not added: {error}")
                return
            if self.screen.commit(edit):
                self._go_to_new(before)

        self.screen.app.push_screen(Pick(title, names, 0), chosen)

    def _go_to_new(self, before: Build) -> None:
        """Go to what was added, and open its fields where the first is to be filled in."""
        had = {row.device for row in wiring(before, self.view.bench.sheet)}
        new = next((row for row in self.view.rows() if row.device not in had), None)
        if new is not None:
            self.grid.go(new.id, DRAWING)
            self.view.open_form(new, new.device)

    def _thing(self) -> str:
        """The device that was first drawn here, else the wire."""
        row = self.row
        if row is None:
            return ""
        own = row.device and not row.again and not row.device.startswith("e")
        return row.device if own else row.run.id if row.run else row.device

    def remove(self) -> None:
        """Take the device out that is drawn here, with its wires; else the wire."""
        if self.row and self.row.leads:
            self.screen.say(LEADS_ELSEWHERE)
            return
        self.remove_record(self._thing())

    def duplicate(self) -> None:
        """Another device like this one."""
        if self.row and self.row.leads:
            self.screen.say(LEADS_ELSEWHERE)
            return
        id = self._thing()
        if not id:
            super().duplicate()
            return
        try:
            edit = actions.duplicate(self.view.bench.build, table_of(id), id)
        except EditRefused as error:
            self.screen.warn(f"Not duplicated: {error}")
            return
        self.screen.commit(edit)

    def move(self, step: int) -> None:
        """Rows stand where the wires put them."""
        self.screen.say("The drawing follows the wires: ctrl+r feeds one from another device")


def _things(row: WiringRow) -> tuple[str, ...]:
    """The wire of a row, and the device that is first drawn there."""
    if row.leads:
        return row.leads
    ground = row.device.startswith("e") and row.run is not None
    device = "" if row.again or ground else row.device
    return tuple(id for id in (row.run.id if row.run else "", device) if id)


class ThingTable(ShownTable):
    """The form of one thing."""

    has_columns: ClassVar[bool] = False
    view: "WiringView"

    def caption(self) -> str:
        """Whose fields they are."""
        build, opened = self.view.bench.build, self.view.opened
        names = " and ".join(label(build, id) for id in opened.split() if find(build, id))
        return f"{names} (tab: the next, esc: back)" if names else "Its fields"

    def cursor_moved(self) -> None:
        """Another field: what there is to say of it, unless something else must not be missed."""
        if not self.screen.keeps_notice:
            self.tell_more()

    def tell_more(self) -> None:
        """In full what is wrong with the field, why it is what it is, or what it takes."""
        from tui.tables.thing import reason, wrong

        bench, id = self.view.bench, self.grid.row_id
        row = next((each for each in self.view.fields() if each.id == id), None)
        told = row and (
            wrong(bench.sheet, row, with_do=True) or reason(bench.build, bench.sheet, row)
        )
        if row:
            self.screen.tell_of_cell(told or self.screen.about_cell())

    def add(self) -> None:
        """A form has no rows to add."""
        self.screen.say("This form has no rows to add")


class WiringView(BuildView):
    """The whole power side in one drawing; enter on a row opens the fields of what is there."""

    id = "wiring"
    title = "Wiring"
    key = "alt+1"
    again = "the drawing alone, out of a form"
    short_title = "Wire"
    routes = True
    actions: ClassVar[tuple[Action["WiringView"], ...]] = (
        Action(
            "figure",
            "Next figure of the wiring",
            "what stands beside each wire: drop, current, volts, heat, protection, price",
            ("alt+v",),
            lambda view: view.step_figure(),
            "figure",
            elsewhere=ELSEWHERE,
        ),
        Action(
            "state",
            "Next condition of the wiring",
            "the condition it is for: driving, idling or engine off, at full power or on average",
            ("alt+e",),
            lambda view: view.step_state(),
            elsewhere=ELSEWHERE,
        ),
        Action(
            "fold",
            "Fold all blocks, or none",
            "what each block feeds is put away, or shown again",
            ("alt+g",),
            lambda view: view.fold_all(),
            elsewhere=ELSEWHERE,
        ),
        Action(
            "read_amplifiers",
            "Amplifiers from a CSV file",
            "add the amplifiers of a list: name, power, feed length, ground length",
            (),
            lambda view: view.ask_for_list(),
        ),
    )
    special_tables: ClassVar[SpecialTables] = {"wiring": WiringTable, "thing": ThingTable}

    def __init__(self, screen: GridScreen, bench: Workbench, open_shop: OpenShop) -> None:
        super().__init__(screen, bench, open_shop)
        self.opened = ""
        """Ids of what the form is of, with spaces between."""
        self._back: View | None = None
        """The page that the form was opened from, where it is another."""
        self.looking = Look()
        """What the drawing shows."""
        self._materials = Materials(screen, bench, self._laid_out)
        self._priced: Sheet | None = None
        """The results that the prices are of."""

    def _laid_out(self) -> None:
        """Sheets are laid out in full, and cost what they cost."""
        self._priced = None

    # What is drawn

    def specs(self) -> list[TableSpec]:
        """The drawing, and the form below it."""
        return [wiring_spec(self.looked), FORM]

    def looked(self) -> Look:
        """What is shown, with the prices of the build as it is where they are."""
        sheet = self.bench.sheet
        if self.looking.figure == "price" and self._priced is not sheet:
            from domain.money.shares import shares

            self._priced = sheet
            bought = self._materials.shopping()
            self.looking = replace(self.looking, prices=shares(bought.sheet, bought.lines))
        return self.looking

    def rows(self) -> list[WiringRow]:
        """The rows of the drawing."""
        return wiring(self.bench.build, self.bench.sheet, self.looked())

    def narrowed_to(self) -> str:
        """The form is of what was gone to last."""
        return self.opened

    def before_first_visit(self) -> None:
        """Fold what the screen has no room for."""
        leads = len(lead_rows(self.bench.build, self.bench.sheet))
        most = self.screen.size.height - _AROUND - leads
        self.looking = replace(self.looking, folded=to_fold(self.bench.build, most))

    def after_first_visit(self) -> None:
        """To the first wire whose length is still assumed; to the first amplifier before that."""
        if not self.bench.build.amplifiers:
            self.screen.grid.go(NEXT_AMPLIFIER, DRAWING)
        else:
            self.go_to_measure()

    def go_to_measure(self) -> bool:
        """Go to the first wire whose length is still assumed; false where there is none."""
        grid = self.screen.grid_of("wiring")
        untold = to_measure(self.bench.build)
        for id in grid.row_ids:
            if id in untold:
                return grid.go(id, "length_m")
        return False

    def filled(self) -> None:
        """The form takes no room while it is of nothing; on a short screen it stands alone."""
        form, drawing = (self.tables[id].grid for id in ("thing", "wiring"))
        there = bool(form.row_count)
        form.stretch(drawing.size.width or form.size.width)  # before it is drawn, not after
        alone = there and self.screen.size.height < _BOTH
        for grid, shown in ((form, there), (drawing, not alone)):
            if grid.display != shown:
                grid.display = shown
                self.screen.query_one(f"#caption-{grid.spec.id}").display = shown
        drawing.call(FIGURE, f"·{BY_KEY[self.looking.figure].title}")
        if not there and self.screen.grid is form:
            self.screen.focus_grid(drawing)

    # What it shows

    def step_figure(self) -> None:
        """The next figure beside the wires."""
        self._show(replace(self.looking, figure=next_figure(self.looking.figure)))

    def step_state(self) -> None:
        """The next state, of a figure that differs from state to state."""
        figure = BY_KEY[self.looking.figure]
        if not figure.in_states:
            self.screen.say(f"{figure.title} is the same in every state: alt+v is the next figure")
            return
        self._show(replace(self.looking, state=next_state(self.bench.sheet, self.looking.state)))

    def fold(self, device: str) -> None:
        """Fold a block, or open it again."""
        self._show(replace(self.looking, folded=self.looking.folded ^ {device}))

    def fold_all(self) -> None:
        """Fold every block, or open all again."""
        folded = frozenset() if self.looking.folded else to_fold(self.bench.build, 0)
        self._show(replace(self.looking, folded=folded))

    def _show(self, look: Look) -> None:
        self.looking = look
        if look.figure == "price":
            self._materials.read_stock()
            self._priced = None
        self.screen.show_tables()
        self.screen.describe_cell()

    def open_form(self, row: WiringRow, at: str = "", field: str = "") -> None:
        """Open the fields of a wire and the device at its end; ``at``, ``field``: begin there."""
        self._back = None
        ids = [row.run.id] if row.run else [*row.leads]
        if row.device and not (row.again and ids):
            ids.append(row.device)
        self.opened = " ".join(ids)
        self.screen.show_tables()
        form = self.tables["thing"].grid
        self.screen.focus_grid(form)
        if not at and row.run is not None and row.run.existing and row.device in ids:
            at = row.device  # of what the vehicle has, the device is what is told
        wanted = [each for each in self.fields() if not at or each.record == at]
        begin = (field,) if field else _BEGIN
        id = next(
            (each.id for each in wanted if {each.column.field, *each.column.covers} & {*begin}),
            wanted[0].id,
        )
        form.go(id, "value")
        self.screen.describe_cell()

    def fields(self) -> "list[FieldRow]":
        """The rows of the form."""
        bench = self.bench
        return list(FORM.rows(bench.build, bench.sheet, self.opened))

    async def show_thing(self, id: str, field: str, back: View | None = None) -> bool:
        """Show a wire or device in the drawing, its form open on a field; false: there is none.

        ``back``: the page that leaving the form leads to.
        """
        self.looking = self._unfolded(id)
        rows = self.rows()
        own = (each for each in rows if id in _things(each))
        row = next(own, next((each for each in rows if each.device == id), None))
        if row is None or not await self.screen.show_view(self):
            return False
        self.screen.show_tables()
        self.tables["wiring"].grid.go(row.id, DRAWING)
        self.open_form(row, id, field)
        self._back = back
        return True

    def _unfolded(self, id: str) -> Look:
        """What is shown, with nothing folded where a thing is behind a folded block."""
        if any(id in _things(each) for each in self.rows()):
            return self.looking
        return replace(self.looking, folded=frozenset())

    def next_thing(self, step: int) -> None:
        """The form of the next (1) or previous (-1) thing in the drawing."""
        grid = self.tables["wiring"].grid
        rows = [row for row in self.rows() if row.column is None]
        ids = [row.id for row in rows]
        here = ids.index(grid.row_id) if grid.row_id in ids else -step
        row = rows[(here + step) % len(rows)]
        grid.go(row.id, DRAWING)
        back = self._back
        self.open_form(row)
        self._back = back

    def called(self) -> bool:
        """Its key leads to the drawing, also from a form that stands in its place."""
        form, self._back = self.opened, None
        if not form:
            return False
        self.opened = ""
        if self.shown:
            self.screen.show_tables()
            self.screen.focus_grid(self.tables["wiring"].grid)
        return True

    async def before_going_to(self, id: str) -> None:
        """A field is shown where the form of its thing is open."""
        thing, _, field = id.partition(".")
        if field:
            self.opened = thing
            self.screen.show_tables()

    def take_text(self, text: str) -> bool:
        """Rows of a spreadsheet, pasted on the row that stands ready, are amplifiers."""
        table = self.table()
        here = isinstance(table, WiringTable) and table.grid.row_id == NEXT_AMPLIFIER
        if not (here and is_rows(text)) or self.screen.editing.open:
            return False
        self.add_amplifiers(text)
        return True

    def add_amplifiers(self, text: str) -> None:
        """Add an amplifier for each row of a text; all or none."""
        from domain.build.amplifier_list import add_amplifiers, cells_of_text

        try:
            edit = add_amplifiers(self.bench.build, cells_of_text(text))
        except ValueError as error:
            self.screen.warn(f"Nothing was taken: {error}")
            return
        if self.screen.commit(edit):
            self.screen.tell(f"Done: {edit.label}. ctrl+z takes it back")

    def ask_for_list(self) -> None:
        """Ask for a CSV file of amplifiers, and take it."""
        from tui.dialogs.boxes import Ask
        from tui.pages.template import folder_of

        def typed(path: str | None) -> None:
            if path is None or not path.strip():
                return
            from storage.files import read_text

            try:
                self.add_amplifiers(read_text(folder_of(path)))
            except (TransferError, ValueError) as error:
                self.screen.warn(f"Nothing was taken: {error}")

        asked = "Add the amplifiers of this CSV file (name, power, feed length, ground length)"
        self.screen.app.push_screen(Ask(asked, str(Path.cwd() / "amplifiers.csv")), typed)

    def close_form(self) -> None:
        """Back to the drawing, or to the page that the form was opened from."""
        self.opened = ""
        back, self._back = self._back, None
        if back not in (None, self):
            self.screen.call_later(self.screen.show_view, back)
        self.screen.show_tables()
        self.screen.focus_grid(self.tables["wiring"].grid)

    def take_key(self, event: Key) -> bool:
        """Escape leads from the form back to the drawing; there, keys walk along the wires."""
        table = self.table()
        if isinstance(table, WiringTable):
            return table.take_key(event.key) or super().take_key(event)
        if event.key in ("tab", "shift+tab"):
            self.next_thing(1 if event.key == "tab" else -1)
            return True
        first = event.key == "up" and self.screen.grid.cursor_row == 0
        if event.key == "escape" or first:
            self.close_form()
            return True
        return super().take_key(event)
