"""Whose words a build speaks, US or British; none: as its units suggest."""

NAME = "m0027_words"

STATEMENTS = ("ALTER TABLE build ADD COLUMN words TEXT",)
