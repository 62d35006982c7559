"""Which columns of a table somebody wants to see."""

NAME = "m0031_columns"

STATEMENTS = (
    """
    CREATE TABLE wanted_columns (
        person TEXT NOT NULL,
        grid TEXT NOT NULL,
        shown TEXT NOT NULL,
        PRIMARY KEY (person, grid)
    )
    """,
)
