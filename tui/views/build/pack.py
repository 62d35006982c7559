"""The page of the pack: what goes on paper, the materials with their prices, the quote."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from msgspec.structs import replace

from domain.build.choices import UnitHabit
from domain.build.records import Build
from domain.sheet import Sheet
from storage.errors import StoreError
from tui.actions import Action
from tui.grids.grid_screen import GridScreen
from tui.grids.shown_table import ShownTable
from tui.grids.view import SpecialTables
from tui.report.plain import some, today
from tui.tables.table_spec import TableSpec
from tui.views.build.askers import show_askers
from tui.views.build.build_view import BuildView
from tui.views.build.materials import Materials
from tui.views.build.record_table import RecordTable
from tui.views.build.shop_link import NO_STORE, OpenShop, add_items, choose_kit, open_bench
from tui.workbench import Workbench

if TYPE_CHECKING:
    from domain.plan import Plan
    from tui.pages.long_work import Progress

WHOLE_SHARE = 0.3
"""Share of the progress that the drive profile and the readings take."""

FOLDER = "packs"
"""Packs go into a folder of this name in the present one, until another is typed."""

Writer = Callable[..., Sequence[Path]]


class MaterialsTable(ShownTable):
    """The bill of materials with what serves each line, and at which price."""

    view: "PackView"

    def caption(self) -> str:
        """What they come to."""
        bought = self.view.shopping()
        if bought.price is None:
            return self.spec.caption
        from domain.money.cents import price_text

        name, hints = self.spec.caption.split(" (", 1)
        price = price_text(bought.price, self.view.bench.build.header.currency)
        missing = bought.unpriced + bought.unserved
        return f"{name}: {price}{f', {missing} unpriced' if missing else ''} ({hints}"

    def entered(self) -> bool:
        """What asked for the line."""
        line = self._line()
        if line is not None:
            show_askers(self.screen, self.view.bench, line.line)
        return True

    def add(self) -> None:
        """The shop's item for the line, to be priced there; it is added where there is none."""
        line = self._line()
        if line is None:
            super().add()
            return
        item = line.item or self._new_item(line)
        if item is not None:
            self.view.open_shop(item.id)

    def _line(self) -> Any:
        from tui.tables.pack import material_rows

        rows = material_rows(self.view.shopping())
        return next((row.matched for row in rows if row.id == self.screen.grid.row_id), None)

    def _new_item(self, line: Any) -> Any:
        shop = add_items(self.screen, self.view.bench, (line.line,))
        return None if shop is None else shop.items[-1]


class PackView(BuildView):
    """What goes into the pack, and the materials with their prices."""

    id = "pack"
    title = "Pack"
    key = "f8"
    actions: ClassVar[tuple[Action["PackView"], ...]] = (
        Action(
            "materials",
            "Materials",
            "go to the materials: what to buy, from the shop's catalogue, at which price",
            (),
            lambda view: view.go_to_materials(),
            tells=True,
        ),
        Action(
            "price_all",
            "Price the materials",
            "add an item to the shop for each line that has none, and fill prices in down a column",
            ("alt+i",),
            lambda view: view.price_all(),
            tells=True,
        ),
        Action(
            "add_shop_kit",
            "Add a kit of the shop",
            "put a set of the shop's items on the bill of materials, as one edit",
            ("alt+q",),
            lambda view: view.add_kit(),
        ),
        Action(
            "take_off_shelf",
            "Take from stock",
            "take what this build uses out of the shop's stock, once it is really taken",
            (),
            lambda view: view.take_off_shelf(),
            tells=True,
        ),
        Action(
            "quote",
            "Quote",
            "the quote as the customer reads it",
            (),
            lambda view: view.show_quote(),
            tells=True,
        ),
    )
    plain_table: ClassVar[type[ShownTable]] = ShownTable
    special_tables: ClassVar[SpecialTables] = {"materials": MaterialsTable, "extras": RecordTable}
    writer: Writer | None = None
    """What writes the pack; ``None``: the store's own."""
    _choices: Any = None
    _quote_waits = False

    def __init__(self, screen: GridScreen, bench: Workbench, open_shop: OpenShop) -> None:
        super().__init__(screen, bench, open_shop)
        self._materials = Materials(screen, bench, self._laid_out)

    # Tables

    def specs(self) -> list[TableSpec]:
        """The form of choices, and the materials; both are made for this screen."""
        from tui.tables.build_tables import EXTRAS
        from tui.tables.pack import choices_spec, material_rows, materials_spec

        def rows(build: Build, sheet: Sheet) -> list[Any]:
            return list(material_rows(self.shopping()))

        return [choices_spec(self.choices), materials_spec(rows), EXTRAS]

    @property
    def choices(self) -> Any:
        """What is chosen for the pack."""
        from storage.pack.contents import CONTENTS

        if self._choices is None:
            from tui.tables.pack import PackChoices

            header = self.bench.build.header
            folder = Path.cwd() / FOLDER
            paper = "letter" if header.units is UnitHabit.INCH else "a4"
            self._choices = PackChoices(paper, str(folder), tuple(CONTENTS.items()))
        return self._choices

    def shopping(self) -> Any:
        """The materials with what serves them, for the sheet as it is."""
        return self._materials.shopping()

    def plan(self) -> "Plan":
        """The plan with the sheets as they are bought."""
        return replace(self.bench.plan, sheet=self.shopping().sheet)

    def before_shown(self) -> None:
        """The prices are read anew."""
        self._materials.read_stock()

    def after_first_visit(self) -> None:
        """To the first choice."""
        self.screen.grid.go("paper", "value")
        self.screen.describe_cell()

    def returned(self) -> None:
        """Prices may have changed in the shop."""
        self._materials.read_stock()
        if self.shown:
            self.screen.show_tables()

    def _laid_out(self) -> None:
        if self.shown and not self.screen.editing.open:
            self.screen.show_tables()
        if self._quote_waits:
            self._quote_waits = False
            self.show_quote()

    async def go_to_materials(self) -> None:
        """To the materials."""
        if await self.screen.show_view(self):
            self.screen.focus_grid(self.tables["materials"].grid)

    # Paper

    def to_paper(self) -> None:
        """Write the pack."""
        from tui.pages.template import folder_of
        from tui.pages.writing import WritingPage

        if not self.screen.editing.confirm():
            return
        chosen, bench = self.choices, self.bench
        if chosen.only is not None and not chosen.only:
            self.screen.say("Nothing is chosen: set at least one section to yes", bad=True)
            return
        plan, build = bench.plan, bench.build
        items, times = self._materials.stock
        paper, folder, revision, write = chosen.paper, chosen.folder, bench.revision, self.writer
        labels_on, harness_on = chosen.label_stock, chosen.harness_size
        only = None if chosen.only is None else frozenset(chosen.only)
        if only is not None and not build.parts:
            only -= {"parts", "templates"}
        if only is not None and not build.sections:
            only -= {"harness"}

        def work(progress: "Progress") -> Sequence[Path]:
            from domain.full_results import full_results
            from domain.money.shopping import shopping
            from storage.pack.pack_context import Money

            if write is None:
                from storage.pack.pack import write_pack
            bought = shopping(build, plan.sheet, items, times)
            results = full_results(plan, lambda share: progress(share * WHOLE_SHARE, "Trip"))
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
                labels_on=labels_on,
                harness_on=harness_on,
            )
            return paths

        self.screen.app.push_screen(WritingPage(f"Pack of {build.header.title}", work))

    def look(self) -> None:
        """The quote."""
        self.show_quote()

    def show_quote(self) -> None:
        """The quote as the customer reads it."""
        from domain.money.quote_text import quote_text
        from tui.pages.page import TextPage

        self._materials.read_stock()
        bought = self.shopping()
        if not self._materials.complete:
            self._quote_waits = True
            self.screen.say("The sheets to cut are being laid out for the quote")
            return
        text = quote_text(self.bench.build, bought.sheet, bought.estimate, today())
        lines = text.splitlines()
        if bought.estimate.for_shop:
            lines += ["", "FOR THE SHOP, NOT ON THE QUOTE", ""]
            lines += [f"- {line}" for line in bought.estimate.for_shop]
        self.screen.app.push_screen(TextPage("Quote", lines))

    # The shop

    def price_all(self) -> None:
        """Open the shop on all that has no price yet; what no item serves gets one first."""
        if not self.screen.editing.confirm():
            return
        from domain.money.matching import match, without_price

        self._materials.read_stock()
        lines = self.shopping().lines
        shop = add_items(self.screen, self.bench, [each.line for each in lines if not each.item])
        if shop is None:
            return
        unpriced = without_price(match([each.line for each in lines], shop.items))
        if unpriced:
            self.open_shop(to_price=[item.id for item in shop.items if item.id in unpriced])
        else:
            self.screen.say("Every line of materials has an item with a price")

    def add_kit(self) -> None:
        """Choose a kit of the shop, and put what it holds on the bill."""
        screen = self.screen
        if not screen.editing.confirm():
            return
        shop = open_bench(screen, self.bench)
        if shop is None:
            return
        self._materials.read_stock()
        choose_kit(screen, self.bench, shop.document, self.shopping().lines)

    def take_off_shelf(self) -> None:
        """Take what this build uses out of the shop's stock, after asking."""
        from domain.money.matching import shelf_use
        from storage.store.shelf import ShopCatalogue
        from tui.dialogs.boxes import Pick

        store, screen = self.bench.store, self.screen
        if not screen.editing.confirm():
            return
        if store is None:
            screen.say(NO_STORE)
            return
        self._materials.read_stock()
        lines = self.shopping().lines
        if not self._materials.complete:
            screen.say("The sheets to cut are still being laid out: try again in a moment")
            return
        used = shelf_use(lines)
        if not used:
            screen.say("Nothing that this build uses is in stock")
            return
        items = {line.item.id: line.item for line in lines if line.item is not None}
        taken = some([f"{used[id]:g} {items[id].unit.value} {items[id].name}" for id in used])

        def chosen(place: int | None) -> None:
            if place != 1:
                return
            try:
                ShopCatalogue(store).take_off_shelf(used)
            except StoreError as error:
                screen.warn(f"Not taken: {error}")
                return
            self.returned()
            screen.tell(f"Taken from stock: {taken}. F12 and ctrl+z put it back")

        options = ["Leave the stock as it is", f"Take {taken}"]
        screen.app.push_screen(Pick("Take what this build uses from stock", options), chosen)
