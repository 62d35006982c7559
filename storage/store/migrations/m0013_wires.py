"""How many wires lie side by side as one run."""

NAME = "m0013_wires"

STATEMENTS = ("ALTER TABLE runs ADD COLUMN count INTEGER NOT NULL DEFAULT 1",)
