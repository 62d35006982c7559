"""Whose words a build speaks, US or British; none: as its units suggest."""

NAME = "m0028_words"

STATEMENTS = ("ALTER TABLE build ADD COLUMN words TEXT",)
