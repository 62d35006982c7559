"""The shop's catalogue, and its own times of labour."""

NAME = "m0005_catalogue"

STATEMENTS = (
    """
    CREATE TABLE catalogue (
        id INTEGER NOT NULL,
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
    CREATE TABLE labour_time (
        name TEXT NOT NULL,
        value FLOAT NOT NULL,
        PRIMARY KEY (name)
    )
    """,
)
