"""What moves the vehicle, and whether it lowers its charging voltage on the road."""

NAME = "m0029_vehicle"

STATEMENTS = (
    "ALTER TABLE build ADD COLUMN drive TEXT NOT NULL DEFAULT 'combustion'",
    "ALTER TABLE build ADD COLUMN smart_alternator BOOLEAN NOT NULL DEFAULT FALSE",
)
