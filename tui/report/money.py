"""Materials, what to buy, the cut list, and what the shop keeps, as lines of text."""

from collections.abc import Sequence
from decimal import Decimal
from itertools import groupby

from domain.build.records import Build
from domain.cable.cut_list import CutList
from domain.cable.pieces import WirePiece
from domain.csv_cells import plain
from domain.money.cents import cents, price_text
from domain.money.kits import kit_price, parts_of, price_of
from domain.money.matching import MatchedLine
from domain.money.shopping import Shopping
from domain.shop.catalogue import CatalogueItem
from domain.shop.shop import Shop
from domain.shop.times import Time
from domain.topics.cut_list import PIECES, cut_from, group_title, left_over, too_long
from domain.topics.job import title as job_title
from domain.topics.materials import amount
from domain.topics.tables import Subject
from domain.units.habit import UnitHabit
from domain.units.show import format_quantity, format_size
from tui.report.cut_sheets import sheets_lines
from tui.report.plain import WIDTH, Column, table, wrap

_BESIDE = " " * 6
"""What stands below a line of the bill of materials is moved in so far."""


def materials_text(subject: Subject, shopping: Shopping, stocked: bool) -> str:
    """Bill of materials, packs to buy, cut list and sheets, lines of at most 100 columns.

    ``stocked``: the shop's catalogue has items, so that a line without one is worth a word.
    """
    lines = [*wrap(job_title(subject)), "=" * WIDTH]
    sections = (
        ("Bill of materials", _bill(subject, shopping, stocked)),
        ("To buy", _to_buy(subject.build, shopping, stocked)),
        ("Cut list", _cut_list(subject, shopping.cuts)),
        ("Sheets to cut", sheets_lines(subject, shopping.sheets)),
    )
    for title, body in sections:
        lines += ["", title.upper(), *(body or ["none"])]
    return "\n".join(lines) + "\n"


def catalogue_lines(items: Sequence[CatalogueItem]) -> list[str]:
    """The shop's own items, one a line."""
    columns = (
        Column("Item", 26),
        Column("Group", 15),
        Column("Pack", 8, True),
        Column("Price", 8, True),
        Column("Shelf", 8, True),
        Column("Supplier", 14),
        Column("Serves", 20),
    )
    rows = [
        (
            item.name,
            item.group,
            f"{plain(item.pack)} {item.unit.value}",
            _price(item.price),
            plain(item.on_shelf),
            item.supplier,
            "; ".join(rule for rule in (item.item_rule, item.size_rule) if rule) or "all of it",
        )
        for item in items
    ]
    return table(columns, rows)


def times_lines(times: Sequence[Time]) -> list[str]:
    """The table of times, and which of them are only invented defaults."""
    columns = (
        Column("Name", 14),
        Column("Value", 8, True),
        Column("", 18),
        Column("Whose", 10),
        Column("Operation", 40),
    )
    rows = [
        (
            time.name,
            plain(time.value),
            "times" if time.unit == "ratio" else f"{time.unit} per {time.per}",
            "own" if time.own else "default",
            time.title,
        )
        for time in times
    ]
    lines = table(columns, rows)
    if not all(time.own for time in times):
        lines += wrap("Defaults are invented: replace them by what your shop takes.")
    return lines


def footprint_lines(library: Build) -> list[str]:
    """The shop's footprints, one a line, in millimetres as their CSV file has them."""
    columns = (
        Column("Hole pattern", 30),
        Column("Along x across x up", 26),
        Column("Mass", 10, True),
        Column("Studs", 5, True),
    )
    rows, units = [], UnitHabit.METRIC
    for each in library.footprints:
        sides = (each.length_m, each.width_m, each.height_m)
        rows.append(
            (
                each.name,
                format_size("small_length", sides, units),
                format_quantity("mass", each.mass_kg, units),
                str(sum(stud.footprint == each.id for stud in library.studs)),
            )
        )
    return table(columns, rows)


def kit_lines(shop: Shop) -> list[str]:
    """The shop's kits, each with what it holds and what that is worth."""
    columns = (
        Column("Kit", 30),
        Column("Item", 36),
        Column("Quantity", 12, True),
        Column("Price", 10, True),
    )
    rows = []
    for kit in shop.kits:
        rows.append((kit.name, "", "", price_text(kit_price(shop, kit.id), "")))
        for item, count in parts_of(shop, kit.id):
            quantity = f"{plain(count)} {item.unit.value}"
            rows.append(("", item.name, quantity, price_text(price_of(item, count), "")))
    return table(columns, rows)


def _bill(subject: Subject, shopping: Shopping, stocked: bool) -> list[str]:
    lines: list[str] = []
    for group, members in groupby(shopping.lines, key=lambda each: each.line.group):
        lines.append(group)
        for matched in members:
            lines += _bill_line(subject, matched, stocked)
    return lines


def _bill_line(subject: Subject, matched: MatchedLine, stocked: bool) -> list[str]:
    line = matched.line
    what = f"{line.item}, {line.size}" if line.size else line.item
    needs = ""
    if line.unit != "each":
        needs = f" (needs {amount(subject, line, line.needed)})"
    lines = wrap(f"{what}{needs}", f"  {amount(subject, line, line.quantity):>14}  ")
    for name, said in (
        ("for", ", ".join(subject.name(id) for id in line.asked_by)),
        ("note", line.note),
        ("take", _taken(subject, matched, stocked)),
    ):
        if said:
            lines += wrap(said, f"{' ' * 12}{_BESIDE}{name:<6}")
    return lines


def _taken(subject: Subject, matched: MatchedLine, stocked: bool) -> str:
    """From where: packs, shelf, and by which rule; nothing where there is no catalogue."""
    if not stocked:
        return ""
    if matched.item is None:
        return matched.why
    parts = []
    if matched.from_shelf:
        held = amount(subject, matched.line, matched.from_shelf)
        parts.append(f"{held} of {matched.item.name} from stock")
    parts += [f"{_packs(buy.packs)} of {buy.item.name}" for buy in matched.buys]
    if matched.price is not None and matched.buys:
        parts.append(price_text(matched.price, subject.build.header.currency))
    if not parts:
        parts = [f"what is left of {matched.item.name}"]
    if matched.too_long_m:
        parts.append(f"{subject.show('length', matched.too_long_m)} cannot be cut from any length")
    return f"{', '.join(parts)} ({matched.why})"


def _packs(count: int) -> str:
    return "1 pack" if count == 1 else f"{count} packs"


def _to_buy(build: Build, shopping: Shopping, stocked: bool) -> list[str]:
    if not stocked:
        return wrap(
            "The catalogue is empty: `mainrun catalogue --export FILE` writes a file to fill in, "
            "`mainrun catalogue --import FILE` takes it."
        )
    columns = (
        Column("Packs", 6, True),
        Column("Item", 36),
        Column("Pack", 10, True),
        Column("Each", 10, True),
        Column("Price", 10, True),
        Column("Supplier", 20),
    )
    rows = [
        (
            str(buy.packs),
            buy.item.name,
            f"{plain(buy.item.pack)} {buy.item.unit.value}",
            _price(buy.item.price),
            _price(buy.price),
            buy.item.supplier,
        )
        for buy in shopping.to_buy
    ]
    lines = table(columns, rows) if rows else ["nothing: it is all in stock"]
    if not rows and shopping.unserved:
        lines = []
    if shopping.price is not None:
        missing = f", {shopping.unpriced} without a price left out" if shopping.unpriced else ""
        total = price_text(shopping.price, build.header.currency)
        lines += wrap(f"Together {total}{missing}")
    if shopping.unserved:
        were = "1 line is" if shopping.unserved == 1 else f"{shopping.unserved} lines are"
        lines += wrap(f"{were} not in the catalogue: see above")
    return lines


def _cut_list(subject: Subject, cuts: CutList) -> list[str]:
    lines: list[str] = []
    if cuts.assumed:
        lines += wrap(subject.names(cuts.assumed, len(cuts.assumed)), "Measure before cutting: ")
    for group in cuts.groups:
        lines += wrap(group_title(subject, group))
        for length in group.lengths:
            lines += wrap(f"{cut_from(subject, length)}; {left_over(subject, length)}", "  ")
            lines += [line for piece in length.pieces for line in _piece(subject, piece)]
        for piece in group.too_long:
            lines += wrap(too_long(piece), "  ") + _piece(subject, piece)
    return lines


def _piece(subject: Subject, piece: WirePiece) -> list[str]:
    length, *words = (column.cell(subject, piece) for column in PIECES.columns)
    return wrap("; ".join(words), f"    [ ] {length:>12}  ")


def _price(amount: Decimal | None) -> str:
    """A price of a pack as it was given, cents at least."""
    if amount is None:
        return "-"
    return f"{amount:.2f}" if amount == cents(amount) else f"{amount.normalize():f}"
