"""Kits of the shop, and what goes on a build's bill of materials beside what the plan asks for."""

NAME = "m0033_kits"

STATEMENTS = (
    """
    CREATE TABLE shop_kit (
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        PRIMARY KEY (id)
    )
    """,
    """
    CREATE TABLE shop_kit_part (
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        kit TEXT NOT NULL,
        item TEXT NOT NULL,
        count FLOAT NOT NULL,
        PRIMARY KEY (id)
    )
    """,
    """
    CREATE TABLE extras (
        id TEXT NOT NULL,
        name TEXT NOT NULL,
        quantity FLOAT NOT NULL,
        unit TEXT NOT NULL,
        "group" TEXT NOT NULL,
        kit TEXT NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
)
