"""How a custom part lies where it is screwed on."""

NAME = "m0012_seat"

STATEMENTS = ("ALTER TABLE parts ADD COLUMN seat TEXT NOT NULL DEFAULT 'not told'",)
