"""What is written against what the declared tables would have written (second method: SQLAlchemy's
own statements, through SQLModel's tables, into a file that they have made themselves).
"""

import sqlite3
from contextlib import closing
from decimal import Decimal
from pathlib import Path
from typing import Any

from sqlalchemy import create_engine, insert
from sqlmodel import SQLModel

from demo_db.load import demo_builds
from domain.build.records import TABLES, Build
from domain.document.records import records
from domain.shop.catalogue import CatalogueItem
from domain.shop.shop import Shop
from storage.store.builds import Store
from storage.store.row_types import FILE_TABLES
from storage.store.shop_filing import SHOP_TABLES
from tests.storage.store.stocking import Stocking

LEFT_TO_THE_STORE = {"build": {"created", "changed"}}


def rows_of(path: Path, table: str) -> list[dict[str, Any]]:
    """All rows of a table, each value with the type that it has in the file."""
    columns = [
        column.name
        for column in FILE_TABLES[table].columns
        if column.name not in LEFT_TO_THE_STORE.get(table, ())
    ]
    asked = ", ".join(f'"{column}", typeof("{column}")' for column in columns)
    with closing(sqlite3.connect(path)) as file:
        found = file.execute(f"SELECT {asked} FROM {table}").fetchall()
    rows = [dict(zip(columns, zip(*[iter(row)] * 2, strict=True), strict=True)) for row in found]
    return sorted(rows, key=repr)


def by_the_tables(path: Path, rows: dict[str, list[dict[str, Any]]]) -> None:
    """Make the declared tables in a new file, and put these rows into them."""
    engine = create_engine(f"sqlite:///{path}")
    SQLModel.metadata.create_all(engine)
    with engine.begin() as connection:
        for table, each in rows.items():
            if each:
                connection.execute(insert(FILE_TABLES[table]), each)
    engine.dispose()


def test_every_record_is_written_as_its_declared_table_would(tmp_path: Path) -> None:
    builds = [build for _, build in demo_builds()]
    item = CatalogueItem(name="Lug", group="Terminals", price=Decimal("0.10"))
    ours, theirs = tmp_path / "ours.sqlite", tmp_path / "theirs.sqlite"
    wanted: dict[str, list[dict[str, Any]]] = {"build": []}
    with Store(ours) as store:
        for build in builds:
            key = store.create(build, stops=2)
            own = {"key": key, "revision": 0, "archived": False, "stops": 2}
            at = dict.fromkeys(LEFT_TO_THE_STORE["build"], "")
            wanted["build"].append({**own, **at, **build.header.plain()})
            for table in TABLES:
                wanted.setdefault(table, []).extend(
                    {"build_key": key, "position": place, **record.plain()}
                    for place, record in enumerate(records(build, table))
                )
        item = Stocking(store).put(item)
    wanted["catalogue"] = [{"position": 0, **item.plain()}]
    by_the_tables(theirs, wanted)
    for table in wanted:
        assert rows_of(ours, table) == rows_of(theirs, table)
    assert sum(map(len, wanted.values())) > 200, "the demo builds are full ones"


def test_a_record_has_the_columns_of_its_declared_table_and_no_others() -> None:
    of_builds = {
        table: {"build_key", "position", *kind.__struct_fields__} for table, kind in TABLES.items()
    }
    of_shop = {
        SHOP_TABLES[table]: {"position", *kind.__struct_fields__}
        for table, kind in Shop.TABLES.items()
    }
    for table, columns in (of_builds | of_shop).items():
        assert columns == set(FILE_TABLES[table].columns.keys())
    own = {"key", "revision", "stops", "archived", "created", "changed"}
    assert own | set(Build().header.plain()) == set(FILE_TABLES["build"].columns.keys())
