"""What lies round a run."""

NAME = "m0018_cover"

STATEMENTS = ("ALTER TABLE runs ADD COLUMN cover TEXT",)
