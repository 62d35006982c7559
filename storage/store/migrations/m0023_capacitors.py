"""Capacitors among the loads: farads, series resistance, the most volts that they stand."""

NAME = "m0023_capacitors"

STATEMENTS = (
    "ALTER TABLE appliances ADD COLUMN capacitance_f FLOAT",
    "ALTER TABLE appliances ADD COLUMN esr_ohm FLOAT",
    "ALTER TABLE appliances ADD COLUMN withstand_v FLOAT",
)
