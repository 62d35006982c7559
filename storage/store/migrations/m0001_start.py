"""The first layout of a store."""

NAME = "m0001_start"

STATEMENTS = (
    """
    CREATE TABLE migration (
        name TEXT NOT NULL,
        at TEXT NOT NULL,
        PRIMARY KEY (name)
    )
    """,
    """
    CREATE TABLE build (
        key INTEGER NOT NULL,
        revision INTEGER NOT NULL,
        title TEXT NOT NULL,
        customer TEXT NOT NULL,
        vehicle TEXT NOT NULL,
        notes TEXT NOT NULL,
        state TEXT NOT NULL,
        units TEXT NOT NULL,
        wire_sizes TEXT NOT NULL,
        programme TEXT NOT NULL,
        drop_limit_v FLOAT NOT NULL,
        stops INTEGER,
        archived BOOLEAN NOT NULL,
        created TEXT NOT NULL,
        changed TEXT NOT NULL,
        PRIMARY KEY (key)
    )
    """,
    """
    CREATE TABLE zones (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        ambient_c FLOAT NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE batteries (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        chemistry TEXT NOT NULL,
        capacity_ah FLOAT NOT NULL,
        cranking_a FLOAT,
        resistance_ohm FLOAT,
        stud TEXT NOT NULL,
        zone TEXT NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE alternators (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        rated_a FLOAT NOT NULL,
        idle_a FLOAT,
        regulated_v FLOAT NOT NULL,
        vehicle_load_a FLOAT NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE amplifiers (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        channels INTEGER NOT NULL,
        channel_w FLOAT NOT NULL,
        sub_channels INTEGER NOT NULL,
        sub_channel_w FLOAT NOT NULL,
        amplifier_class TEXT NOT NULL,
        efficiency FLOAT,
        regulated BOOLEAN NOT NULL,
        onboard_fuse_a FLOAT,
        idle_a FLOAT NOT NULL,
        lowest_v FLOAT NOT NULL,
        largest_wire VARCHAR,
        zone TEXT NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE blocks (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        kind TEXT NOT NULL,
        places INTEGER NOT NULL,
        largest_in TEXT NOT NULL,
        largest_out TEXT NOT NULL,
        fused BOOLEAN NOT NULL,
        zone TEXT NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE grounds (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        surface TEXT NOT NULL,
        stud TEXT NOT NULL,
        resistance_ohm FLOAT,
        zone TEXT NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE runs (
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
        bundle INTEGER NOT NULL,
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
    """
    CREATE TABLE parts (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        material TEXT NOT NULL,
        thickness_m FLOAT NOT NULL,
        carries TEXT NOT NULL,
        load_kg FLOAT NOT NULL,
        quantity INTEGER NOT NULL,
        zone TEXT NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE panels (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        part TEXT NOT NULL,
        name TEXT NOT NULL,
        joins TEXT NOT NULL,
        length_m FLOAT NOT NULL,
        width_m FLOAT NOT NULL,
        bend_deg FLOAT NOT NULL,
        bend_radius_m FLOAT NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE holes (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        panel TEXT NOT NULL,
        x_m FLOAT NOT NULL,
        y_m FLOAT NOT NULL,
        diameter_m FLOAT NOT NULL,
        kind TEXT NOT NULL,
        thread TEXT NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE journal (
        build_key INTEGER NOT NULL,
        revision INTEGER NOT NULL,
        kind TEXT NOT NULL,
        target INTEGER,
        edit TEXT NOT NULL,
        inverse TEXT NOT NULL,
        label TEXT NOT NULL,
        at TEXT NOT NULL,
        PRIMARY KEY (build_key, revision),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
)
