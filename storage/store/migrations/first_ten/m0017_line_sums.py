"""A sum over every line of a journal, so that a text that became another is found."""

NAME = "m0017_line_sums"

STATEMENTS = (
    "ALTER TABLE journal ADD COLUMN checksum TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE shop_journal ADD COLUMN checksum TEXT NOT NULL DEFAULT ''",
)
