"""Which runs lie in one loom; how many lie together is left to the loom where it was 1.

A bundle of 1 was what every run had, typed or not. Without a loom an auto bundle is 1 too, so
that no figure changes. The journal is changed alike, so that it still tells the same build; in
its JSON a quotation mark that a user typed has a backslash before it, and is not found.
"""

NAME = "m0006_looms"

_COLUMNS = (
    "build_key, id, position, name, polarity, source, target, length_m, slack_m, zone, gauge, "
    "metal, insulation, colour, strands, strand_m, fused, fuse_a, fuse_family, fuse_distance_m, "
    "far_fused, far_fuse_distance_m, near_end, far_end, existing"
)

STATEMENTS = (
    """
    CREATE TABLE runs_6 (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        polarity TEXT NOT NULL,
        source TEXT NOT NULL,
        target TEXT NOT NULL,
        length_m FLOAT,
        slack_m FLOAT,
        zone TEXT NOT NULL,
        gauge VARCHAR,
        metal TEXT NOT NULL,
        insulation TEXT NOT NULL,
        colour TEXT NOT NULL,
        strands INTEGER,
        strand_m FLOAT,
        loom TEXT NOT NULL,
        bundle INTEGER,
        fused BOOLEAN NOT NULL,
        fuse_a FLOAT,
        fuse_family TEXT,
        fuse_distance_m FLOAT,
        far_fused BOOLEAN NOT NULL,
        far_fuse_distance_m FLOAT,
        near_end TEXT,
        far_end TEXT,
        existing BOOLEAN NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
    f"INSERT INTO runs_6 ({_COLUMNS}, loom, bundle) "
    f"SELECT {_COLUMNS}, '', nullif(bundle, 1) FROM runs",
    "DROP TABLE runs",
    "ALTER TABLE runs_6 RENAME TO runs",
    """
    UPDATE journal SET
        edit = replace(edit, '"bundle":1,', '"bundle":null,'),
        inverse = replace(inverse, '"bundle":1,', '"bundle":null,')
    """,
    """
    UPDATE journal SET
        edit = replace(
            edit, '"field":"bundle","value":1}', '"field":"bundle","value":null}'
        ),
        inverse = replace(
            inverse, '"field":"bundle","value":1}', '"field":"bundle","value":null}'
        )
    """,
)
