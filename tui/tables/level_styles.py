"""How what is wrong is drawn: to be told on light and dark terminals, with 16 colours or none.

A word always says the same; the colour only makes it be seen.
"""

from domain.findings import Level

BAD = "bold red"
"""What must not stay: a STOP, a reading that fails."""

LEVEL_STYLES = {Level.STOP: BAD, Level.FIX: "black on yellow", Level.NOTE: "bold"}
"""How a finding's headline is drawn. Yellow letters cannot be read on white: black ones on yellow
can, on any ground; they are not bold, as some terminals brighten bold black to grey."""
