"""Fuse points, drive profile, mounting spots, readings; counted strands; alternator speeds."""

NAME = "m0002_study"

STATEMENTS = (
    "ALTER TABLE alternators ADD COLUMN idle_rpm INTEGER NOT NULL DEFAULT 750",
    "ALTER TABLE alternators ADD COLUMN cruise_rpm INTEGER NOT NULL DEFAULT 2200",
    "ALTER TABLE alternators ADD COLUMN pulley_ratio FLOAT NOT NULL DEFAULT 2.5",
    "ALTER TABLE alternators ADD COLUMN hot BOOLEAN NOT NULL DEFAULT 1",
    "ALTER TABLE grounds ADD COLUMN signal BOOLEAN NOT NULL DEFAULT 0",
    "ALTER TABLE runs ADD COLUMN strands INTEGER",
    "ALTER TABLE runs ADD COLUMN strand_m FLOAT",
    """
    CREATE TABLE curves (
        id TEXT NOT NULL,
        family TEXT NOT NULL,
        rating_a FLOAT,
        current_ratio FLOAT NOT NULL,
        fastest_s FLOAT,
        slowest_s FLOAT,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE legs (
        id TEXT NOT NULL,
        name TEXT NOT NULL,
        engine TEXT NOT NULL,
        playing TEXT NOT NULL,
        duration_s FLOAT NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE spots (
        id TEXT NOT NULL,
        name TEXT NOT NULL,
        run TEXT NOT NULL,
        feed_m FLOAT NOT NULL,
        onward_m FLOAT,
        zone TEXT NOT NULL,
        reach TEXT NOT NULL,
        hazard TEXT NOT NULL,
        blocks BOOLEAN NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE readings (
        id TEXT NOT NULL,
        at TEXT NOT NULL,
        meter TEXT NOT NULL,
        mode TEXT NOT NULL,
        value_v FLOAT,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    )
    """,
)
