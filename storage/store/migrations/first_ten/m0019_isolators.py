"""What kind of isolator a block is, and what it carries for good."""

NAME = "m0019_isolators"

STATEMENTS = (
    "ALTER TABLE blocks ADD COLUMN isolates TEXT",
    "ALTER TABLE blocks ADD COLUMN rated_a FLOAT",
)
