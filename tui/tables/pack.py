"""Tables of the pack view: what goes on paper, and the materials with what the shop has of them.

What is chosen for the pack belongs to the session, not to the build: a choice is no edit.
"""

from collections.abc import Sequence
from typing import Any

from msgspec import Struct, field

from domain.build.edits import EditRefused
from domain.build.records import Build
from domain.money.cents import price_text
from domain.money.matching import MatchedLine
from domain.money.shopping import Shopping
from domain.sheet import Sheet
from domain.units.show import format_amount
from domain.workings.materials import line_id
from storage.pack.contents import FULL_HARNESS, LABEL_STOCKS
from tui.tables.columns import Column, Figure, Host
from tui.tables.table_spec import TableSpec

PACK = "pack"
"""What the columns of the pack's form name as their table: no build has it."""

LABELS = (("", "only in the pack"), *((name, text) for name, text in LABEL_STOCKS.items()))
"""Where the labels go to, besides paper."""

PAPERS = (("letter", "Letter"), ("a4", "A4"))


LABEL_STOCK = "label_stock"

HARNESS_SIZE = "harness_size"

HARNESS = (("", "only in the pack"), *FULL_HARNESS.items())
"""How the harness is drawn, besides its page."""

LISTS = {"paper": PAPERS, LABEL_STOCK: LABELS, HARNESS_SIZE: HARNESS}
"""Choices out of a list, each with its name and what is shown of it."""


class Choice(Struct, frozen=True):
    """One choice for the pack: its name, and what is chosen."""

    name: str
    value: str | bool


class PackChoices(Struct):
    """What goes into the pack, on which paper, into which folder."""

    paper: str
    folder: str
    sections: Sequence[tuple[str, str]]
    """Every section as (name, title)."""
    label_stock: str = ""
    """What a label printer prints them on; empty: none does."""
    harness_size: str = ""
    """How the harness is drawn too; empty: on its page alone."""
    left_out: set[str] = field(default_factory=set)

    def take(self, choice: "Choice") -> None:
        """Make a choice."""
        if choice.name == "paper":
            self.paper = str(choice.value)
        elif choice.name == "folder":
            self.folder = str(choice.value)
        elif choice.name == LABEL_STOCK:
            self.label_stock = str(choice.value)
        elif choice.name == HARNESS_SIZE:
            self.harness_size = str(choice.value)
        elif choice.value:
            self.left_out.discard(choice.name)
        else:
            self.left_out.add(choice.name)

    def value(self, name: str) -> str | bool:
        """What is chosen now."""
        typed = {
            **{"paper": self.paper, "folder": self.folder},
            **{LABEL_STOCK: self.label_stock, HARNESS_SIZE: self.harness_size},
        }
        if name in typed:
            return typed[name]
        return name not in self.left_out

    @property
    def only(self) -> tuple[str, ...] | None:
        """The sections that go in; ``None``: all of them."""
        if not self.left_out:
            return None
        return tuple(name for name, _ in self.sections if name not in self.left_out)


class ChoiceColumn(Column, frozen=True):
    """One choice as a row of the form; ``field`` is its name."""

    choices: PackChoices | None = None

    @property
    def id(self) -> str:
        """The form has one column for all its values."""
        return "value"

    @property
    def optional(self) -> bool:
        """Every choice is made."""
        return False

    @property
    def has_choices(self) -> bool:
        """A folder is typed."""
        return self.field != "folder"

    def described(self, build: Build) -> str:
        """What may be chosen."""
        if self.field == "folder":
            return "Folder: where the files go; it is made if it is missing"
        if self.field == "paper":
            return "Paper: letter or a4; space goes on to the other"
        if self.field == LABEL_STOCK:
            return "Label printer: a file of the labels for its tape too; space goes on to the next"
        if self.field == HARNESS_SIZE:
            return "Harness drawing: on its page alone, or as long as it is on long paper too"
        return f"{self.title}: goes into the pack, yes or no; space changes it"

    def shown(self, build: Build, sheet: Sheet, record: Any) -> str:
        """The value."""
        value = self._choices.value(self.field)
        if isinstance(value, bool):
            return "yes" if value else "no"
        return dict(LISTS.get(self.field, ())).get(value, value)

    def typed(self, build: Build, record: Any, text: str) -> Any:
        """The beginning of a choice, or a folder."""
        text = text.strip()
        if self.field == "folder":
            if not text:
                raise EditRefused("type a folder, . is the present one")
            return self._to(text)
        for name, edit in self.options(build, record):
            if text and name.lower().startswith(text.lower()):
                return edit
        names = " or ".join(name for name, _ in self.options(build, record))
        raise EditRefused(f"{self.title} is {names}")

    def pinned(self, build: Build, sheet: Sheet, record: Any) -> Any:
        """Nothing is left to the engine."""
        return None

    def given_back(self, record: Any) -> Any:
        """Nothing is left to the engine."""
        return None

    def stepped(self, build: Build, record: Any) -> Any:
        """The other one."""
        edits = [edit for _, edit in self.options(build, record)]
        if not edits:
            return None
        now = self._to(self._choices.value(self.field))
        return edits[(edits.index(now) + 1) % len(edits) if now in edits else 0]

    def options(self, build: Build, record: Any) -> list[tuple[str, Any]]:
        """Papers, or yes and no."""
        if self.field == "folder":
            return []
        if self.field in LISTS:
            return [(title, self._to(name)) for name, title in LISTS[self.field]]
        return [("yes", self._to(True)), ("no", self._to(False))]

    def changes(self, bench: Any, edit: Choice) -> bool:
        """Whether something else is chosen now."""
        return self._choices.value(edit.name) != edit.value

    def preview(self, bench: Any, edit: Choice) -> None:
        """No figure follows from a choice."""

    def commit(self, host: Host, edit: Choice) -> bool:
        """Take the choice: the build stays as it is."""
        self._choices.take(edit)
        host.show_grids()
        return True

    def _to(self, value: str | bool) -> Choice:
        return Choice(self.field, value)

    @property
    def _choices(self) -> PackChoices:
        assert self.choices is not None
        return self.choices


class ChoiceRow(Struct, frozen=True):
    """One choice of the form."""

    id: str
    column: ChoiceColumn

    def subject(self, build: Build) -> object:
        """What the choice is of: no record has it."""
        return self


def choices_spec(choices: PackChoices) -> TableSpec:
    """The form of what goes into the pack."""
    names = [
        ("paper", "Paper"),
        ("folder", "Folder"),
        (LABEL_STOCK, "Label printer"),
        (HARNESS_SIZE, "Harness drawing"),
        *choices.sections,
    ]
    rows = [
        ChoiceRow(name, ChoiceColumn(PACK, name, title, 44, (), choices)) for name, title in names
    ]
    return TableSpec(
        "choices",
        "pack",
        "",
        "Pack (ctrl+l writes it, ctrl+t: the quote, ctrl+k: the sheets to cut)",
        (
            Figure(PACK, "·what", "·What", 22, figure=lambda b, s, row: row.column.title),
            Column(PACK, "value", "Goes in", 44),
        ),
        lambda build, sheet, part: list(rows),
    )


class MaterialRow(Struct, frozen=True):
    """One line of the bill of materials with what serves it; ``place`` is its place there."""

    id: str
    place: int
    matched: MatchedLine


def material_rows(shopping: Shopping) -> list[MaterialRow]:
    """The lines as rows, each with an id of its own."""
    return [
        MaterialRow(line_id(matched.line), place, matched)
        for place, matched in enumerate(shopping.lines)
    ]


def materials_spec(rows: Any) -> TableSpec:
    """The bill of materials; ``rows`` gives its rows for a build and its sheet."""
    return TableSpec(
        "materials",
        "pack",
        "",
        "Materials (enter: what asked for it, ctrl+n: price it, alt+i: all)",
        (
            Figure("materials", "·item", "·Item", 24, figure=lambda b, s, r: r.matched.line.item),
            Figure("materials", "·size", "·Size", 15, figure=lambda b, s, r: r.matched.line.size),
            Figure("materials", "·buy", "·To buy", 10, figure=_to_buy),
            Figure("materials", "·price", "·Price", 10, figure=_price),
            Figure("materials", "·packs", "·Packs", 22, figure=_packs),
            Figure("materials", "·shelf", "·In stock", 9, figure=_from_shelf),
            Figure("materials", "·why", "·Matched by", 30, figure=lambda b, s, r: r.matched.why),
            Figure("materials", "·note", "·Note", 40, figure=lambda b, s, r: r.matched.line.note),
        ),
        lambda build, sheet, part: rows(build, sheet),
        empty="nothing to buy yet",
    )


def _amount(build: Build, row: MaterialRow, quantity: float) -> str:
    return format_amount(quantity, row.matched.line.unit, build.header.units)


def _to_buy(build: Build, sheet: Sheet, row: MaterialRow) -> str:
    return _amount(build, row, row.matched.line.quantity)


def _price(build: Build, sheet: Sheet, row: MaterialRow) -> str:
    if not row.matched.buys:
        return "-"
    return price_text(row.matched.price, build.header.currency)


def _packs(build: Build, sheet: Sheet, row: MaterialRow) -> str:
    matched = row.matched
    if matched.item is None:
        return "-"
    if not matched.buys:
        return f"none, {matched.item.name}"
    return ", ".join(f"{buy.packs} x {buy.item.name}" for buy in matched.buys)


def _from_shelf(build: Build, sheet: Sheet, row: MaterialRow) -> str:
    if not row.matched.from_shelf:
        return "-"
    return _amount(build, row, row.matched.from_shelf)
