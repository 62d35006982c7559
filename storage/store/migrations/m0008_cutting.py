"""How sheet is cut: saw or router, the kerf, the sizes at hand."""

NAME = "m0008_cutting"

STATEMENTS = (
    "ALTER TABLE build ADD COLUMN cutting TEXT NOT NULL DEFAULT 'saw'",
    "ALTER TABLE build ADD COLUMN kerf_m FLOAT",
    """
    CREATE TABLE stock (
        id TEXT NOT NULL,
        material TEXT NOT NULL,
        thickness_m FLOAT,
        width_m FLOAT NOT NULL,
        length_m FLOAT NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    )
    """,
)
