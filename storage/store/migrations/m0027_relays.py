"""The voltages and times of isolator relays that join by voltage."""

NAME = "m0027_relays"

STATEMENTS = (
    "ALTER TABLE blocks ADD COLUMN join_v FLOAT",
    "ALTER TABLE blocks ADD COLUMN part_v FLOAT",
    "ALTER TABLE blocks ADD COLUMN join_s FLOAT",
    "ALTER TABLE blocks ADD COLUMN part_s FLOAT",
)
