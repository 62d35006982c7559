"""Loads that play no music: fridge, lights, inverter."""

NAME = "m0021_loads"

STATEMENTS = (
    """
    CREATE TABLE appliances (
        id TEXT NOT NULL,
        name TEXT NOT NULL,
        kind TEXT NOT NULL,
        power_w FLOAT NOT NULL,
        rated_v FLOAT NOT NULL,
        works TEXT NOT NULL,
        duty FLOAT NOT NULL,
        efficiency FLOAT,
        idle_a FLOAT NOT NULL,
        lowest_v FLOAT NOT NULL,
        onboard_fuse_a FLOAT,
        largest_wire VARCHAR,
        zone TEXT NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
)
