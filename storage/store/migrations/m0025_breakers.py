"""What a fuse can break, how a breaker closes again, and the section of bus bars."""

NAME = "m0025_breakers"

STATEMENTS = (
    "ALTER TABLE runs ADD COLUMN breaks_a FLOAT",
    "ALTER TABLE runs ADD COLUMN resets TEXT NOT NULL DEFAULT 'by hand'",
    "ALTER TABLE blocks ADD COLUMN bar_width_m FLOAT",
    "ALTER TABLE blocks ADD COLUMN bar_thick_m FLOAT",
)
