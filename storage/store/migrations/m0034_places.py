"""Places of the vehicle and the sections between them; where devices stand, and a run's detour."""

NAME = "m0034_places"

_STAND = (
    *("batteries", "alternators", "amplifiers", "appliances"),
    *("blocks", "grounds", "remotes"),
)

STATEMENTS = (
    """
    CREATE TABLE places (
        id TEXT NOT NULL,
        name TEXT NOT NULL,
        hint TEXT NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE sections (
        id TEXT NOT NULL,
        name TEXT NOT NULL,
        from_place TEXT NOT NULL,
        to_place TEXT NOT NULL,
        length_m FLOAT,
        zone TEXT NOT NULL,
        cover TEXT,
        panel TEXT NOT NULL,
        hole TEXT NOT NULL,
        hint TEXT NOT NULL,
        fuel BOOLEAN NOT NULL,
        airbag BOOLEAN NOT NULL,
        high_voltage BOOLEAN NOT NULL,
        exhaust BOOLEAN NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
    *(f"ALTER TABLE {table} ADD COLUMN place TEXT NOT NULL DEFAULT ''" for table in _STAND),
    "ALTER TABLE runs ADD COLUMN via TEXT NOT NULL DEFAULT ''",
)
