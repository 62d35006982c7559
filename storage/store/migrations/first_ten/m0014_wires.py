"""How many wires lie side by side as one run."""

NAME = "m0014_wires"

STATEMENTS = ("ALTER TABLE runs ADD COLUMN count INTEGER NOT NULL DEFAULT 1",)
