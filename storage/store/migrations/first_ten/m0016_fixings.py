"""What holds a custom part, in left and right hands, and what a fuse spot is screwed to."""

NAME = "m0016_fixings"

STATEMENTS = (
    """
    CREATE TABLE fixings (
        id TEXT NOT NULL,
        part TEXT NOT NULL,
        "into" TEXT NOT NULL,
        behind_m FLOAT,
        thread TEXT NOT NULL,
        screw_m FLOAT,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
    "ALTER TABLE holes ADD COLUMN fixing TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE parts ADD COLUMN both_hands BOOLEAN NOT NULL DEFAULT 0",
    "ALTER TABLE spots ADD COLUMN \"into\" TEXT NOT NULL DEFAULT 'not told'",
    "ALTER TABLE spots ADD COLUMN behind_m FLOAT",
)
