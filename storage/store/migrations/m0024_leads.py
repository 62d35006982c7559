"""Remote outputs, and switching, signal and loudspeaker leads."""

NAME = "m0024_leads"

STATEMENTS = (
    """
    CREATE TABLE remotes (
        id TEXT NOT NULL,
        name TEXT NOT NULL,
        kind TEXT NOT NULL,
        limit_a FLOAT,
        relay BOOLEAN,
        feed TEXT NOT NULL,
        feed_m FLOAT,
        coil_m FLOAT,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE leads (
        id TEXT NOT NULL,
        name TEXT NOT NULL,
        kind TEXT NOT NULL,
        source TEXT NOT NULL,
        target TEXT NOT NULL,
        count INTEGER NOT NULL,
        length_m FLOAT,
        gauge VARCHAR,
        draws_a FLOAT,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
)
