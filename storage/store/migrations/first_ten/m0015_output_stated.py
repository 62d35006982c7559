"""An alternator's output may be stated hot, on its plate, or nobody knows."""

NAME = "m0015_output_stated"

STATEMENTS = (
    "ALTER TABLE alternators RENAME COLUMN hot TO hot_before",
    "ALTER TABLE alternators ADD COLUMN hot BOOLEAN",
    "UPDATE alternators SET hot = hot_before",
    "ALTER TABLE alternators DROP COLUMN hot_before",
)
