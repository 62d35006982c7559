"""The page of the wiring: the power side drawn as a tree, and a form of the thing gone to."""

from collections.abc import Iterator
from typing import ClassVar

from textual.events import Key

from domain.build import actions
from domain.build.choices import LoadKind, Polarity
from domain.build.edits import Batch, Edit, EditRefused, Scalar
from domain.build.records import Build, Run, table_of
from domain.document.records import find, label
from tui.dialogs.boxes import Pick
from tui.grids.shown_table import ShownTable
from tui.grids.view import SpecialTables
from tui.tables.build_tables import SPECS
from tui.tables.table_spec import TableSpec
from tui.tables.thing import thing_spec, things
from tui.tables.wiring import DRAWING, WIRING, WiringRow, wiring
from tui.views.build.build_view import BuildView
from tui.views.build.record_table import RecordTable

THING = thing_spec(
    "wiring",
    {spec.table: spec.columns for spec in reversed(SPECS) if spec.of_records},
)


class WiringTable(RecordTable):
    """The drawing. A row is a wire with the device at its end."""

    view: "WiringView"

    @property
    def row(self) -> WiringRow | None:
        """The row with the cursor."""
        bench, id = self.view.bench, self.grid.row_id
        return next((row for row in wiring(bench.build, bench.sheet) if row.id == id), None)

    def entered(self) -> bool:
        """On the drawing the enter key opens the form of what is there."""
        if self.grid.spec.columns[self.grid.cursor_column].id != DRAWING or self.row is None:
            return False
        self.view.open_form(self.row)
        return True

    def add(self) -> None:
        """Choose what is added behind the device with the cursor."""
        build = self.view.bench.build
        options = list(additions(build, self.row))
        title = f"Add behind {label(build, self.row.device)}" if self.row else "Add"
        names = [name for name, _ in options]

        def chosen(place: int | None) -> None:
            if place is not None and self.screen.commit(options[place][1]):
                self._go_to_new(build)

        self.screen.app.push_screen(Pick(title, names, 0), chosen)

    def _go_to_new(self, before: Build) -> None:
        """Go to what was added, and open its fields where the first is to be filled in."""
        bench = self.view.bench
        had = {row.device for row in wiring(before, bench.sheet)}
        new = next((row for row in wiring(bench.build, bench.sheet) if row.device not in had), None)
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
        self.remove_record(self._thing())

    def duplicate(self) -> None:
        """Another device like this one."""
        id = self._thing()
        if not id:
            super().duplicate()
            return
        try:
            edit = actions.duplicate(self.view.bench.build, table_of(id), id)
        except EditRefused as error:
            self.screen.say(f"Not duplicated: {error}", bad=True)
            return
        self.screen.commit(edit)

    def move(self, step: int) -> None:
        """Rows stand where the wires put them."""
        self.screen.say("The drawing follows the wires: ctrl+r hangs one on another device")


LOADS: tuple[tuple[str, dict[str, Scalar]], ...] = (
    ("a fridge, lamp, fan or other load", {}),
    ("an inverter", {"kind": LoadKind.INVERTER, "power_w": 1000.0}),
)
"""Loads that play no music: words, and what they begin with."""


def additions(build: Build, row: WiringRow | None) -> Iterator[tuple[str, Edit]]:
    """What may be added behind the device of a row: words and edit."""
    device = row.device if row else ""
    plus = row is None or row.run is None or row.run.polarity is Polarity.POSITIVE
    if device and plus and table_of(device) in ("blocks", "batteries"):
        yield "an amplifier, fed from here", fed_from(build, "amplifiers", device)
        for what, values in LOADS:
            yield f"{what}, fed from here", fed_from(build, "appliances", device, **values)
        block = actions.add(build, "blocks")
        new = applied_id(build, block)
        wire = actions.add_run(actions.applied(build, block), device, new, fused=True)
        yield (
            "a block, fed from here",
            Batch(edits=(block, wire), label="add a block with its feed"),
        )
    else:
        yield "an amplifier", actions.add(build, "amplifiers")
        for what, values in LOADS:
            yield what, actions.add(build, "appliances", **values)
        yield "a block", actions.add(build, "blocks")
    yield "a battery", actions.add(build, "batteries")
    yield "an alternator", actions.add(build, "alternators")
    yield "a ground point", actions.add(build, "grounds")
    for ground in build.grounds if device and plus else ():
        if device != ground.id:
            wire = actions.add_run(build, device, ground.id)
            yield f"a ground wire from here to {label(build, ground.id)}", wire


def fed_from(build: Build, table: str, device: str, **values: Scalar) -> Edit:
    """Add a device with its wires, and hang it on this one."""
    edit = actions.add(build, table, **values)
    after = actions.applied(build, edit)
    new = {run.id for run in after.runs} - {run.id for run in build.runs}
    feed = next((r for r in after.runs if r.id in new and r.polarity is Polarity.POSITIVE), None)
    if feed is None:
        id = applied_id(build, edit, table)
        return Batch(edits=(edit, actions.add_run(after, device, id, fused=True)), label=edit.label)
    if feed.source == device:
        return edit
    return Batch(edits=(edit, actions.feed_from(after, feed.id, device)), label=edit.label)


def applied_id(build: Build, edit: Edit, table: str = "blocks") -> str:
    """The id of the record that an edit adds to a table."""
    before = {record.id for record in getattr(build, table)}
    after = actions.applied(build, edit)
    return str(next(r.id for r in getattr(after, table) if r.id not in before))


class ThingTable(ShownTable):
    """The form of one thing."""

    has_columns: ClassVar[bool] = False
    view: "WiringView"

    def caption(self) -> str:
        """Whose fields they are."""
        names = things(self.view.bench.build, self.view.opened)
        return f"{names}: all there is to say (esc: back to the drawing)" if names else "Its fields"

    def add(self) -> None:
        """A form has no rows to add."""
        self.screen.say("This form has no rows to add")


class WiringView(BuildView):
    """The whole power side in one drawing; enter on a row opens the fields of what is there."""

    id = "wiring"
    title = "Wiring"
    key = "alt+1"
    short_title = ""
    special_tables: ClassVar[SpecialTables] = {"wiring": WiringTable, "thing": ThingTable}
    opened = ""
    """Ids of what the form is of, with spaces between."""

    def specs(self) -> list[TableSpec]:
        """The drawing, and the form below it."""
        return [WIRING, THING]

    def narrowed_to(self) -> str:
        """The form is of what was gone to last."""
        return self.opened

    def after_first_visit(self) -> None:
        """To the first wire whose length is still assumed."""
        build, grid = self.bench.build, self.screen.grid
        for id in grid.row_ids:
            run = find(build, id)
            if isinstance(run, Run) and run.length_m is None and not run.existing:
                grid.go(id, "length_m")
                return

    def open_form(self, row: WiringRow, at: str = "") -> None:
        """Open the fields of a wire and the device at its end; ``at``: the one to begin with."""
        ids = [row.run.id] if row.run else []
        if row.device and not (row.again and ids):
            ids.append(row.device)
        self.opened = " ".join(ids)
        self.screen.show_tables()
        form = self.tables["thing"].grid
        self.screen.focus_grid(form)
        first = at or ids[0]
        id = next(
            (
                each
                for each in form.row_ids
                if each in (f"{first}.power", f"{first}.power_w", f"{first}.length_m")
            ),
            next(each for each in form.row_ids if each.startswith(f"{first}.")),
        )
        form.go(id, "value")

    def take_key(self, event: Key) -> bool:
        """Escape leads from the form back to the drawing."""
        if event.key == "escape" and self.screen.grid is self.tables["thing"].grid:
            self.screen.focus_grid(self.tables["wiring"].grid)
            return True
        return super().take_key(event)
