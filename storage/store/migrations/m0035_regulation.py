"""How each alternator is regulated: lowered on the road, raised as the vehicle slows."""

NAME = "m0035_regulation"

STATEMENTS = (
    "ALTER TABLE alternators ADD COLUMN smart BOOLEAN",
    "ALTER TABLE alternators ADD COLUMN low_v FLOAT",
    "ALTER TABLE alternators ADD COLUMN high_v FLOAT",
)
