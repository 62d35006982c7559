"""The piece of music whose average a build is planned with, and what was measured of it."""

NAME = "m0036_music"

STATEMENTS = ("ALTER TABLE build ADD COLUMN music TEXT NOT NULL DEFAULT ''",)
