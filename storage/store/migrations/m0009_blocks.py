"""The wire that a block takes may be left to the engine."""

NAME = "m0009_blocks"

STATEMENTS = (
    "ALTER TABLE blocks RENAME TO blocks_before",
    """
    CREATE TABLE blocks (
        id TEXT NOT NULL,
        name TEXT NOT NULL,
        kind TEXT NOT NULL,
        places INTEGER NOT NULL,
        largest_in VARCHAR,
        largest_out VARCHAR,
        fused BOOLEAN NOT NULL,
        zone TEXT NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    )
    """,
    """
    INSERT INTO blocks
    SELECT id, name, kind, places, largest_in, largest_out, fused, zone, build_key, position
    FROM blocks_before
    """,
    "DROP TABLE blocks_before",
)
