"""The layout of the first version that others may have stores of, from its own text."""

NAME = "m0010_start"

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
        finish TEXT NOT NULL DEFAULT 'clean',
        labour_price FLOAT NOT NULL DEFAULT 0,
        markup_ratio FLOAT NOT NULL DEFAULT 1,
        tax_percent FLOAT NOT NULL DEFAULT 0,
        currency TEXT NOT NULL DEFAULT '',
        cutting TEXT NOT NULL DEFAULT 'saw',
        kerf_m FLOAT,
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
        idle_rpm INTEGER NOT NULL DEFAULT 750,
        cruise_rpm INTEGER NOT NULL DEFAULT 2200,
        pulley_ratio FLOAT NOT NULL DEFAULT 2.5,
        hot BOOLEAN NOT NULL DEFAULT 1,
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
    CREATE TABLE grounds (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        surface TEXT NOT NULL,
        stud TEXT NOT NULL,
        resistance_ohm FLOAT,
        zone TEXT NOT NULL,
        signal BOOLEAN NOT NULL DEFAULT 0,
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
        corner_m FLOAT NOT NULL DEFAULT 0,
        cutter_m FLOAT,
        edge_m FLOAT NOT NULL DEFAULT 0,
        place TEXT NOT NULL DEFAULT 'body',
        shock_ratio FLOAT NOT NULL DEFAULT 5,
        box_length_m FLOAT,
        box_width_m FLOAT,
        box_height_m FLOAT,
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
        edge TEXT NOT NULL DEFAULT 'far',
        up BOOLEAN NOT NULL DEFAULT 1,
        offset_m FLOAT NOT NULL DEFAULT 0,
        score_m FLOAT,
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
        shape TEXT NOT NULL DEFAULT 'round',
        across_m FLOAT,
        turn_deg FLOAT NOT NULL DEFAULT 0,
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
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
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
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
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
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
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
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
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
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
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
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
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
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE catalogue (
        id INTEGER NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        "group" TEXT NOT NULL,
        item_rule TEXT NOT NULL,
        size_rule TEXT NOT NULL,
        pack FLOAT NOT NULL,
        unit TEXT NOT NULL,
        price TEXT,
        on_shelf FLOAT NOT NULL,
        supplier TEXT NOT NULL,
        PRIMARY KEY (id)
    )
    """,
    """
    CREATE TABLE labour_time (
        name TEXT NOT NULL,
        value FLOAT NOT NULL,
        PRIMARY KEY (name)
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
    """
    CREATE TABLE shop_footprint (
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        device TEXT NOT NULL,
        mass_kg FLOAT NOT NULL,
        length_m FLOAT NOT NULL,
        width_m FLOAT NOT NULL,
        height_m FLOAT NOT NULL,
        foot_m FLOAT NOT NULL,
        PRIMARY KEY (id)
    )
    """,
    """
    CREATE TABLE shop_stud (
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        footprint TEXT NOT NULL,
        x_m FLOAT NOT NULL,
        y_m FLOAT NOT NULL,
        kind TEXT NOT NULL,
        thread TEXT NOT NULL,
        screw_m FLOAT,
        PRIMARY KEY (id)
    )
    """,
    """
    CREATE TABLE shop_journal (
        revision INTEGER NOT NULL,
        kind TEXT NOT NULL,
        target INTEGER,
        edit TEXT NOT NULL,
        inverse TEXT NOT NULL,
        label TEXT NOT NULL,
        at TEXT NOT NULL,
        PRIMARY KEY (revision)
    )
    """,
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
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
    """
    CREATE TABLE blocks (
        id TEXT NOT NULL,
        name TEXT NOT NULL,
        kind TEXT NOT NULL,
        places INTEGER NOT NULL,
        largest_in VARCHAR,
        largest_out VARCHAR,
        fused BOOLEAN NOT NULL,
        zone TEXT NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    )
    """,
)
