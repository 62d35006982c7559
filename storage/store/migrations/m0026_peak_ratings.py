"""What isolators stand for seconds."""

NAME = "m0026_peak_ratings"

STATEMENTS = ("ALTER TABLE blocks ADD COLUMN peak_a FLOAT",)
