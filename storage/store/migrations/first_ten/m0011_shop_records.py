"""What the shop keeps becomes records as a build's are: items with ids such as "i7", a time for
each operation; its journal alike, so that undo goes back beyond this.
"""

import json
import sqlite3
from typing import Any

NAME = "m0011_shop_records"

STATEMENTS = (
    """
    CREATE TABLE catalogue_11 (
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        "group" TEXT NOT NULL,
        item_rule TEXT NOT NULL,
        size_rule TEXT NOT NULL,
        pack FLOAT NOT NULL,
        unit TEXT NOT NULL,
        price TEXT,
        on_shelf FLOAT NOT NULL,
        supplier TEXT NOT NULL,
        PRIMARY KEY (id)
    )
    """,
    """
    INSERT INTO catalogue_11
    SELECT 'i' || id, position, name, "group", item_rule, size_rule, pack, unit, price, on_shelf,
        supplier
    FROM catalogue
    """,
    "DROP TABLE catalogue",
    "ALTER TABLE catalogue_11 RENAME TO catalogue",
    """
    CREATE TABLE labour_time_11 (
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        value FLOAT,
        PRIMARY KEY (id)
    )
    """,
    """
    INSERT INTO labour_time_11
    SELECT name, row_number() OVER (ORDER BY name) - 1, value FROM labour_time
    """,
    "DROP TABLE labour_time",
    "ALTER TABLE labour_time_11 RENAME TO labour_time",
)


def change(connection: sqlite3.Connection) -> None:
    """The journal of the shop, line by line: ids of items, and of times."""
    lines = connection.execute("SELECT revision, edit, inverse FROM shop_journal").fetchall()
    for revision, *edits in lines:
        texts = [json.dumps(_edit(json.loads(text)), separators=(",", ":")) for text in edits]
        connection.execute(
            "UPDATE shop_journal SET edit = ?, inverse = ? WHERE revision = ?", (*texts, revision)
        )


def _edit(edit: dict[str, Any]) -> dict[str, Any]:
    if edit["kind"] == "batch":
        return {**edit, "edits": [_edit(each) for each in edit["edits"]]}
    if edit["kind"] == "replace":
        tables = {
            table: [_record(table, record) for record in records]
            for table, records in edit["tables"].items()
        }
        return {**edit, "tables": tables}
    if edit["table"] != "items":
        return edit
    if edit["kind"] == "add":
        return {**edit, "record": _record("items", edit["record"])}
    return {**edit, "id": f"i{edit['id']}"}


def _record(table: str, record: dict[str, Any]) -> dict[str, Any]:
    if table == "items":
        return {**record, "id": f"i{record['id']}"}
    if table == "times":
        return {"id": record["name"], "value": record["value"]}
    return record
