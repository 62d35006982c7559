"""The shop's kits as a CSV file: one row an item of a kit, in the item's unit."""

from domain.csv_cells import defused, plain, refused, rows_under, written
from domain.document.records import MOST_RECORDS
from domain.shop.shop import Shop
from domain.visible_text import visible

COLUMNS = ("kit", "item", "quantity")
"""Header of the file."""

MOST_COUNT = 1e5
"""No kit holds more of an item."""


def kits_csv(shop: Shop) -> str:
    """The kits as the text of a CSV file; one that holds nothing has a row without an item."""
    names = {item.id: item.name for item in shop.items}
    rows: list[list[str]] = []
    for kit in shop.kits:
        held = [part for part in shop.kit_parts if part.kit == kit.id and part.item]
        rows += [[defused(kit.name), defused(names[part.item]), plain(part.count)] for part in held]
        if not held:
            rows.append([defused(kit.name), "", ""])
    return written([COLUMNS, *rows])


def read_kits(text: str) -> dict[str, list[tuple[str, float]]]:
    """Kit by name: (name of an item, how much of it), in the file's order.

    Raises ``CsvRefused`` naming every bad line, having taken none.
    """
    problems: list[str] = []
    kits: dict[str, list[tuple[str, float]]] = {}
    rows = rows_under(text, COLUMNS)
    if len(rows) > MOST_RECORDS:
        raise refused([f"{len(rows)} rows, at most {MOST_RECORDS} are taken"])
    for line, row in rows:
        name, item = (visible(row[column].strip()) for column in ("kit", "item"))
        if not name:
            problems.append(f"line {line}: kit: a name is missing")
            continue
        held = kits.setdefault(name, [])
        if not item and not row["quantity"].strip():
            continue
        if not item:
            problems.append(f"line {line}: item: a name is missing")
            continue
        try:
            count = float(row.number("quantity"))
        except ValueError as error:
            problems.append(f"line {line}: quantity: {error}")
            continue
        if not 0 < count <= MOST_COUNT:
            problems.append(f"line {line}: quantity: must be above 0 and at most {MOST_COUNT:g}")
            continue
        held.append((item, count))
    if problems:
        raise refused(problems)
    return kits
