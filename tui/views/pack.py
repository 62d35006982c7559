"""The pack view: what goes on paper, the materials with their prices, the quote, who asked."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from textual import on
from textual.events import Key
from textual.message import Message

from domain.build.choices import UnitHabit
from domain.build.edits import Edit
from domain.build.records import Build, Run, table_of
from domain.document.records import find, label
from domain.sheet import MaterialLine, Sheet
from domain.units.show import format_amount, format_quantity
from storage.errors import StoreError
from storage.pack.contents import CONTENTS
from tui.pages.long_work import Progress
from tui.pages.page import TextPage
from tui.pages.template import folder_of, today
from tui.pages.writing import WritingPage
from tui.screens.dialogs import Pick
from tui.tables.build_tables import specs_of
from tui.tables.table import TableSpec
from tui.views.parts import PartActions
from tui.widgets.grid import Grid
from tui.widgets.live_pane import LivePane

if TYPE_CHECKING:
    from domain.plan import Plan

WHOLE_SHARE = 0.3
"""Share of the progress that the drive profile and the readings take."""

MOST_ASKERS = 300

FOLDER = "packs"
"""Packs go into a folder of this name in the present one, until another is typed."""

_PANE_MOVES = {"up": -1, "down": 1, "pageup": -8, "pagedown": 8, "home": -9999, "end": 9999}


class PackActions(PartActions):
    """What is seen and done in the pack view, and who asked for a line of materials."""

    writer: Callable[..., Sequence[Path]] | None = None
    """What writes the pack; ``None``: the store's own."""
    _choices: Any = None
    _shopping: tuple[Sheet, Any] | None = None
    _laid: Sheet | None = None
    """The results whose sheets are laid out in full."""
    _laying: Sheet | None = None
    _quote_waits = False
    _stock: Any = None

    class Laid(Message):
        """The sheets to cut are laid out in full."""

        def __init__(self, sheet: Sheet) -> None:
            super().__init__()
            self.sheet = sheet

    # Tables

    def specs(self, view: str) -> list[TableSpec]:
        """The tables of a view; those of the pack are made for this screen."""
        if view != "pack":
            return specs_of(view)
        from tui.tables.pack import choices_spec, material_rows, materials_spec

        def rows(build: Build, sheet: Sheet) -> list[Any]:
            return list(material_rows(self.shopping()))

        return [choices_spec(self.choices), materials_spec(rows)]

    @property
    def choices(self) -> Any:
        """What is chosen for the pack."""
        if self._choices is None:
            from tui.tables.pack import PackChoices

            header = self.workbench.build.header
            folder = Path.cwd() / FOLDER
            paper = "letter" if header.units is UnitHabit.INCH else "a4"
            self._choices = PackChoices(paper, str(folder), tuple(CONTENTS.items()))
        return self._choices

    def shopping(self) -> Any:
        """The materials with what serves them, for the sheet as it is.

        Sheets are those of the quick layout until the full one is there.
        """
        sheet = self.workbench.sheet
        if self._shopping is None or self._shopping[0] is not sheet:
            from domain.money.shopping import shopping

            items, times = self._stock or ((), None)
            quick = bool(sheet.parts) and self._laid is not sheet
            bought = shopping(self.workbench.build, sheet, items, times, quick=quick)
            self._shopping = (sheet, bought)
            if quick and self._laying is not sheet:
                self._lay_out(sheet)
        return self._shopping[1]

    def plan_shown(self) -> "Plan":
        """In the pack view, the plan with the sheets as they are bought."""
        shown = super().plan_shown()
        return replace(shown, sheet=self.shopping().sheet) if self.view == "pack" else shown

    def laid_out(self) -> bool:
        """Whether the sheets to cut are those of the full layout."""
        sheet = self.workbench.sheet
        return not sheet.parts or self._laid is sheet

    def _lay_out(self, sheet: Sheet) -> None:
        from domain.fabrication.nesting.cut_sheets import cut_lists

        self._laying, build = sheet, self.workbench.build

        def work() -> None:
            cut_lists(build, sheet.parts, cancelled=lambda: self._laying is not sheet)
            self.post_message(self.Laid(sheet))

        self.run_worker(work, thread=True, group="sheets", exit_on_error=False)

    @on(Laid)
    def _laid_out(self, event: Laid) -> None:
        if event.sheet is not self.workbench.sheet:
            return
        self._laid, self._shopping = event.sheet, None
        if self.view == "pack" and not self.editing.open:
            self.show_grids()
            self.show_captions()
        if self._quote_waits:
            self._quote_waits = False
            self.action_quote()

    def read_stock(self) -> None:
        """Read catalogue and times again: another session may have changed them."""
        store = self.workbench.store
        if store is None:
            return
        from domain.shop.times import shop_times
        from storage.store.shelf import ShopCatalogue

        shop = ShopCatalogue(store)
        try:
            stock = (shop.items(), shop_times(shop.times()))
        except StoreError as error:
            self.say(f"No prices: {error}", bad=True)
            return
        if stock != self._stock:
            self._stock, self._shopping = stock, None

    async def show_view(self, view: str) -> None:
        """Go to a view; the pack's prices are read anew."""
        if view == "pack":
            self.read_stock()
        await super().show_view(view)

    def caption(self, grid: Grid) -> str:
        """The materials say what they come to."""
        text = super().caption(grid)
        if grid.spec.id != "materials":
            return text
        bought = self.shopping()
        if bought.price is not None:
            from domain.money.cents import price_text

            name, hints = text.split(" (", 1)
            price = price_text(bought.price, self.workbench.build.header.currency)
            missing = bought.unpriced + bought.unserved
            text = f"{name}: {price}{f', {missing} unpriced' if missing else ''} ({hints}"
        return text

    async def action_view_pack(self) -> None:
        """Pack."""
        first = "pack" not in self.visited
        await self.go_view("pack")
        if first and self.view == "pack":
            self.grid.go("paper", "value")
            self.describe_cell()

    # Choices

    def changes(self, edit: Edit) -> bool:
        """Whether an edit changes anything; a choice for the pack changes no build."""
        if self._is_choice(edit):
            now = self.choices.value(getattr(edit, "field", ""))
            return bool(now != getattr(edit, "value", None))
        return super().changes(edit)

    def commit(self, edit: Edit) -> bool:
        """Make an edit, or a choice for the pack."""
        if not self._is_choice(edit):
            return super().commit(edit)
        self.choices.take(edit)
        self.show_grids()
        return True

    @staticmethod
    def _is_choice(edit: Edit) -> bool:
        return getattr(edit, "table", "") == "pack"

    # Paper

    def action_to_paper(self) -> None:
        """Write the pack; in other views the template of the custom part."""
        if self.view != "pack":
            super().action_to_paper()
            return
        if not self.editing.confirm():
            return
        chosen, bench = self.choices, self.workbench
        if chosen.only is not None and not chosen.only:
            self.say("Nothing is chosen: set at least one section to yes", bad=True)
            return
        plan, build = bench.plan, bench.build
        items, times = self._stock or ((), None)
        paper, folder, revision, write = chosen.paper, chosen.folder, bench.revision, self.writer
        only = None if chosen.only is None else frozenset(chosen.only)
        if only is not None and not build.parts:
            only -= {"parts", "templates"}

        def work(progress: Progress) -> Sequence[Path]:
            from domain.full_results import full_results
            from domain.money.shopping import shopping
            from storage.pack.pack_context import Money

            if write is None:
                from storage.pack.pack import write_pack
            bought = shopping(build, plan.sheet, items, times)
            results = full_results(
                plan, lambda share: progress(share * WHOLE_SHARE, "Drive profile")
            )
            paths: Sequence[Path] = (write or write_pack)(
                plan,
                results,
                folder_of(folder),
                paper=paper,
                revision=str(revision),
                date=today(),
                only=only,
                progress=lambda share, what: progress(
                    WHOLE_SHARE + share * (1 - WHOLE_SHARE), what
                ),
                money=Money(bought.estimate, bought.spools),
            )
            return paths

        self.app.push_screen(WritingPage(f"Pack of {build.header.title}", work))

    def action_look(self) -> None:
        """The picture here; in the pack view the quote."""
        if self.view == "pack":
            self.action_quote()
        else:
            super().action_look()

    def action_quote(self) -> None:
        """The quote as the customer reads it."""
        from domain.money.quote_text import quote_text

        self.read_stock()
        bench, bought = self.workbench, self.shopping()
        if not self.laid_out():
            self._quote_waits = True
            self.say("The sheets to cut are being laid out for the quote")
            return
        text = quote_text(bench.build, bought.sheet, bought.estimate, today())
        self.app.push_screen(TextPage("Quote", text.splitlines()))

    async def action_materials(self) -> None:
        """To the materials in the pack view."""
        await self.show_view("pack")
        self.focus_grid(self.query_one("#grid-materials", Grid))

    # Who asked

    def key_elsewhere(self, event: Key) -> bool:
        """Keys of the pane in full, and of the materials; false where it is none of them."""
        if self.editing.open:
            return False
        if self.has_class("full"):
            pane = self.query_one(LivePane)
            if event.key in _PANE_MOVES:
                pane.move_mark(_PANE_MOVES[event.key])
                return True
            if event.key == "enter" and pane.marked:
                pane.post_message(LivePane.Chosen(pane, pane.marked))
                return True
            return False
        if event.key == "enter" and self.view == "pack" and self.grid.spec.id == "materials":
            rows = self.grid.row_ids
            if self.grid.row_id in rows:
                self._askers_of(self.shopping().lines[rows.index(self.grid.row_id)].line)
            return True
        return False

    def show_askers(self, place: int) -> None:
        """What asked for a line of materials of the pane; choosing one of them goes there."""
        lines = self.workbench.sheet.materials
        if 0 <= place < len(lines):
            self._askers_of(lines[place])

    def _askers_of(self, line: MaterialLine) -> None:
        build, sheet = self.workbench.build, self.workbench.sheet
        askers = [id for id in line.asked_by if find(build, id) is not None][:MOST_ASKERS]
        if not askers:
            self.say(f"{line.item} {line.size}: {line.note or 'asked for by the build as a whole'}")
            return

        async def chosen(picked: int | None) -> None:
            if picked is not None:
                id = askers[picked]
                await self.go_to(table_of(id), id, _FIELDS.get(table_of(id), "name"))

        names = [asker_text(build, sheet, id) for id in askers]
        self.app.push_screen(Pick(_asked_title(build, line), names), chosen)


_FIELDS = {"runs": "length_m", "holes": "thread"}
"""The field to go to of a record that asked for something; of all others its name."""


def _asked_title(build: Build, line: MaterialLine) -> str:
    much = format_amount(line.quantity, line.unit, build.header.units)
    return f"{much} {line.item} {line.size}: asked for by"


def asker_text(build: Build, sheet: Sheet, id: str) -> str:
    """A record that asked for something, with what tells it from others."""
    kind = table_of(id).removesuffix("s")
    run = sheet.run(id)
    if isinstance(find(build, id), Run) and run is not None:
        length = format_quantity("length", run.wire_m, build.header.units)
        return f"run {label(build, id)}: {length}, {run.gauge}"
    kind = {"batterie": "battery", "ground": "ground point"}.get(kind, kind)
    return f"{kind} {label(build, id)}"
