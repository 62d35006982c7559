"""Who made an edit and in which session (of older ones nobody knows), who is here, and what
somebody was in the middle of when the terminal was lost.
"""

NAME = "m0013_people"

STATEMENTS = (
    "ALTER TABLE journal ADD COLUMN person TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE journal ADD COLUMN session TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE shop_journal ADD COLUMN person TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE shop_journal ADD COLUMN session TEXT NOT NULL DEFAULT ''",
    """
    CREATE TABLE presence (
        session TEXT NOT NULL,
        person TEXT NOT NULL,
        build_key INTEGER,
        page TEXT NOT NULL,
        seen TEXT NOT NULL,
        PRIMARY KEY (session)
    )
    """,
    """
    CREATE TABLE left_off (
        session TEXT NOT NULL,
        person TEXT NOT NULL,
        build_key INTEGER,
        page TEXT NOT NULL,
        grid TEXT NOT NULL,
        row TEXT NOT NULL,
        cell TEXT NOT NULL,
        typed TEXT,
        at TEXT NOT NULL,
        PRIMARY KEY (session)
    )
    """,
)
