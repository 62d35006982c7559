"""How loud the music is on average: measured on a song, or entered; none: by what is played."""

NAME = "m0032_average_level"

STATEMENTS = ("ALTER TABLE build ADD COLUMN average_level FLOAT",)
