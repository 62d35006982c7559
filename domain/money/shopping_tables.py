"""Materials, packs to buy, cut list and labels as CSV for a spreadsheet and JSON for programs."""

import json
from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from msgspec import to_builtins

from domain.build.choices import UnitHabit
from domain.build.records import Build
from domain.csv_cells import Cell, cell_text, written
from domain.document.records import label
from domain.money.cents import cents
from domain.sheet import MaterialLine

if TYPE_CHECKING:
    from domain.cable.cut_list import CutLength, CutList
    from domain.cable.pieces import WirePiece
    from domain.fabrication.nesting.cut_sheets import SheetCutList
    from domain.money.matching import Buy, MatchedLine
    from domain.money.shopping import Shopping

FOOT_M = 0.3048
"""Exact by definition (international foot, 1959)."""

FORMAT = "mainrun materials"
VERSION = 1

MATERIAL_TITLES: list[Cell] = [
    "group",
    "item",
    "size",
    "buy",
    "unit",
    "needed",
    "asked by",
    "note",
]

NOT_CUT = "no length is long enough"
"""Shown in place of a length for pieces longer than any length sold."""


def material_cells(build: Build, line: MaterialLine) -> list[Cell]:
    """A line of the bill of materials under ``MATERIAL_TITLES``, lengths in feet or metres."""
    feet = build.header.units is UnitHabit.INCH and line.unit == "m"
    per = FOOT_M if feet else 1.0
    return [
        line.group,
        line.item,
        line.size,
        line.quantity / per,
        "ft" if feet else line.unit,
        line.needed / per,
        "; ".join(label(build, id) for id in line.asked_by),
        line.note,
    ]


def shopping_csv(build: Build, shopping: "Shopping") -> str:
    """All of it as CSV; the first column names the section, whose first row is its header.

    Lengths are in feet or metres by the build's habit, money has no currency sign, and no text is
    run as a formula.
    """
    inch = build.header.units is UnitHabit.INCH
    sections: tuple[tuple[str, list[list[Cell]]], ...] = (
        ("bill of materials", _lines(build, shopping.lines)),
        ("to buy", _to_buy(shopping.to_buy)),
        ("cut list", _cuts(shopping.cuts, inch)),
        ("labels", _labels(shopping.cuts)),
        ("sheets to cut", sheet_rows(build, shopping.sheets)),
    )
    return written([name, *map(cell_text, row)] for name, rows in sections for row in rows)


def shopping_json(build: Build, shopping: "Shopping") -> str:
    """All of it as JSON: lengths in metres, areas in square metres, money as exact text.

    ``names`` says what the ids in ``asked_by`` and ``run`` are called.
    """
    ids = [id for line in shopping.lines for id in line.line.asked_by]
    ids += [piece.run for group in shopping.cuts.groups for piece in group.pieces]
    content = {
        "format": FORMAT,
        "version": VERSION,
        "title": build.header.title,
        "currency": build.header.currency,
        "names": {id: label(build, id) for id in dict.fromkeys(ids)},
        "lines": [_line_document(line) for line in shopping.lines],
        "to_buy": [_buy_document(buy) for buy in shopping.to_buy],
        "price": shopping.price,
        "unpriced": shopping.unpriced,
        "unserved": shopping.unserved,
        "cut_list": [to_builtins(group) for group in shopping.cuts.groups],
        "labels": [to_builtins(each) for each in shopping.cuts.labels],
        "sheets": [to_builtins(each) for each in shopping.sheets],
        "measure_first": list(shopping.cuts.assumed),
    }
    return json.dumps(content, indent=2, allow_nan=False, default=_money) + "\n"


def _lines(build: Build, lines: "Iterable[MatchedLine]") -> list[list[Cell]]:
    rows: list[list[Cell]] = [
        [*MATERIAL_TITLES, "catalogue item", "why", "from the stock", "packs", "price of packs"]
    ]
    for matched in lines:
        cells = material_cells(build, matched.line)
        per = FOOT_M if cells[4] == "ft" else 1.0
        rows.append(
            [
                *cells,
                matched.item.name if matched.item else "",
                matched.why,
                matched.from_shelf / per,
                sum(buy.packs for buy in matched.buys),
                _money_cell(matched.price),
            ]
        )
    return rows


def _to_buy(buys: "Iterable[Buy]") -> list[list[Cell]]:
    rows: list[list[Cell]] = [
        ["item", "packs", "pack", "unit", "price of a pack", "price", "supplier", "group"]
    ]
    rows += [
        [
            buy.item.name,
            buy.packs,
            buy.item.pack,
            buy.item.unit.value,
            _money_cell(buy.item.price),
            _money_cell(buy.price),
            buy.item.supplier,
            buy.item.group,
        ]
        for buy in buys
    ]
    return rows


def _cuts(cuts: "CutList", inch: bool) -> list[list[Cell]]:
    """A row for every piece; what is left of a length stands beside its last piece."""
    unit, per = ("ft", FOOT_M) if inch else ("m", 1.0)
    rows: list[list[Cell]] = [
        [
            "item",
            "size",
            "cut from",
            f"its length {unit}",
            "in stock",
            "piece",
            f"cut {unit}",
            "near end",
            "far end",
            f"left over {unit}",
            "measure first",
        ]
    ]

    def row(group: tuple[str, str], length: "CutLength | None", piece: "WirePiece") -> list[Cell]:
        is_last = length is not None and piece is length.pieces[-1]
        return [
            *group,
            length.name if length else NOT_CUT,
            length.length_m / per if length else None,
            "yes" if length and length.at_hand else "no",
            piece.label,
            piece.cut_m / per,
            piece.near.place,
            piece.far.place,
            length.offcut_m / per if length and is_last else None,
            "yes" if piece.assumed else "no",
        ]

    for group in cuts.groups:
        kind = (group.item, group.size)
        rows += [row(kind, length, piece) for length in group.lengths for piece in length.pieces]
        rows += [row(kind, None, piece) for piece in group.too_long]
    return rows


def _labels(cuts: "CutList") -> list[list[Cell]]:
    rows: list[list[Cell]] = [["run", "piece", "end", "line 1", "line 2", "line 3"]]
    rows += [[each.run, each.piece, each.end, *each.lines] for each in cuts.labels]
    return rows


def sheet_rows(build: Build, lists: "Iterable[SheetCutList]") -> list[list[Cell]]:
    """A row for every blank on every layout, in inches or millimetres; x runs across the sheet."""
    from domain.fabrication.nesting.blanks import alike

    unit, per = ("in", 0.0254) if build.header.units is UnitHabit.INCH else ("mm", 0.001)
    rows: list[list[Cell]] = [
        [
            *("material", f"thickness {unit}", "layout", "sheets alike", "sheet", "part", "id"),
            *(f"x {unit}", f"y {unit}", f"width {unit}", f"length {unit}", "turned"),
        ]
    ]
    for each in lists:
        kind: list[Cell] = [each.material, each.thickness_m / per]
        for number, (sheet, times) in enumerate(alike(each.nest.sheets), 1):
            for b in sheet.blanks:
                place = [value / per for value in (b.x_m, b.y_m, b.width_m, b.length_m)]
                on: list[Cell] = [number, times, sheet.size.name, label(build, b.id), b.id]
                rows.append([*kind, *on, *place, "yes" if b.turned else "no"])
        for blank in each.nest.too_large:
            sides = [blank.width_m / per, blank.length_m / per]
            none: list[Cell] = [None, blank.quantity, "too large", label(build, blank.id), blank.id]
            rows.append([*kind, *none, None, None, *sides, "no"])
    return rows


def _line_document(matched: "MatchedLine") -> dict[str, Any]:
    return {
        **to_builtins(matched.line),
        "catalogue_item": matched.item.name if matched.item else None,
        "why": matched.why,
        "wanted": matched.wanted,
        "from_shelf": matched.from_shelf,
        "too_long_m": matched.too_long_m,
        "buys": [{"item": buy.item.name, "packs": buy.packs} for buy in matched.buys],
        "price": matched.price,
        "worth": None if matched.worth is None else cents(matched.worth),
    }


def _buy_document(buy: "Buy") -> dict[str, Any]:
    return {
        "item": buy.item.name,
        "group": buy.item.group,
        "supplier": buy.item.supplier,
        "packs": buy.packs,
        "pack": buy.item.pack,
        "unit": buy.item.unit.value,
        "price_of_pack": buy.item.price,
        "price": buy.price,
    }


def _money_cell(amount: Decimal | None) -> str:
    return "" if amount is None else f"{amount:f}"


def _money(amount: object) -> str:
    if isinstance(amount, Decimal):
        return f"{amount:f}"
    raise TypeError(f"{type(amount).__name__} is nothing that JSON holds")
