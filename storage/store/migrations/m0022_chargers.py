"""What a DC-DC charger holds, takes at most, and loses."""

NAME = "m0022_chargers"

STATEMENTS = (
    "ALTER TABLE blocks ADD COLUMN charge_v FLOAT",
    "ALTER TABLE blocks ADD COLUMN input_a FLOAT",
    "ALTER TABLE blocks ADD COLUMN efficiency FLOAT",
)
