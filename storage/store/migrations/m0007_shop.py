"""The shop's library of footprints, and the journal of what changes in the shop.

The items are numbered anew from 0 without gaps, so that one place can be written alone.
"""

NAME = "m0007_shop"

STATEMENTS = (
    """
    CREATE TABLE shop_footprint (
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        device TEXT NOT NULL,
        mass_kg FLOAT NOT NULL,
        length_m FLOAT NOT NULL,
        width_m FLOAT NOT NULL,
        height_m FLOAT NOT NULL,
        foot_m FLOAT NOT NULL,
        PRIMARY KEY (id)
    )
    """,
    """
    CREATE TABLE shop_stud (
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        footprint TEXT NOT NULL,
        x_m FLOAT NOT NULL,
        y_m FLOAT NOT NULL,
        kind TEXT NOT NULL,
        thread TEXT NOT NULL,
        screw_m FLOAT,
        PRIMARY KEY (id)
    )
    """,
    """
    CREATE TABLE shop_journal (
        revision INTEGER NOT NULL,
        kind TEXT NOT NULL,
        target INTEGER,
        edit TEXT NOT NULL,
        inverse TEXT NOT NULL,
        label TEXT NOT NULL,
        at TEXT NOT NULL,
        PRIMARY KEY (revision)
    )
    """,
    """
    CREATE TABLE placed AS
    SELECT id, row_number() OVER (ORDER BY position, id) - 1 AS place FROM catalogue
    """,
    """
    UPDATE catalogue
    SET position = (SELECT place FROM placed WHERE placed.id = catalogue.id)
    """,
    "DROP TABLE placed",
)
