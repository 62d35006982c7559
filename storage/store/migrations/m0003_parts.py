"""Footprints placed on panels, panels at any edge, slots and cut-outs, the measured space."""

NAME = "m0003_parts"

STATEMENTS = (
    "ALTER TABLE parts ADD COLUMN corner_m FLOAT NOT NULL DEFAULT 0",
    "ALTER TABLE parts ADD COLUMN cutter_m FLOAT",
    "ALTER TABLE parts ADD COLUMN edge_m FLOAT NOT NULL DEFAULT 0",
    "ALTER TABLE parts ADD COLUMN place TEXT NOT NULL DEFAULT 'body'",
    "ALTER TABLE parts ADD COLUMN shock_ratio FLOAT NOT NULL DEFAULT 5",
    "ALTER TABLE parts ADD COLUMN box_length_m FLOAT",
    "ALTER TABLE parts ADD COLUMN box_width_m FLOAT",
    "ALTER TABLE parts ADD COLUMN box_height_m FLOAT",
    "ALTER TABLE panels ADD COLUMN edge TEXT NOT NULL DEFAULT 'far'",
    "ALTER TABLE panels ADD COLUMN up BOOLEAN NOT NULL DEFAULT 1",
    "ALTER TABLE panels ADD COLUMN offset_m FLOAT NOT NULL DEFAULT 0",
    "ALTER TABLE panels ADD COLUMN score_m FLOAT",
    "ALTER TABLE holes ADD COLUMN shape TEXT NOT NULL DEFAULT 'round'",
    "ALTER TABLE holes ADD COLUMN across_m FLOAT",
    "ALTER TABLE holes ADD COLUMN turn_deg FLOAT NOT NULL DEFAULT 0",
    """
    CREATE TABLE footprints (
        id TEXT NOT NULL,
        name TEXT NOT NULL,
        device TEXT NOT NULL,
        mass_kg FLOAT NOT NULL,
        length_m FLOAT NOT NULL,
        width_m FLOAT NOT NULL,
        height_m FLOAT NOT NULL,
        foot_m FLOAT NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE studs (
        id TEXT NOT NULL,
        footprint TEXT NOT NULL,
        x_m FLOAT NOT NULL,
        y_m FLOAT NOT NULL,
        kind TEXT NOT NULL,
        thread TEXT NOT NULL,
        screw_m FLOAT,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE mounts (
        id TEXT NOT NULL,
        footprint TEXT NOT NULL,
        panel TEXT NOT NULL,
        x_m FLOAT NOT NULL,
        y_m FLOAT NOT NULL,
        turn_deg FLOAT NOT NULL,
        mirrored BOOLEAN NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    )
    """,
)
