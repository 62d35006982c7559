"""What a battery's own protection allows, and when the battery was made."""

NAME = "m0030_battery_limits"

STATEMENTS = (
    "ALTER TABLE batteries ADD COLUMN made_year INTEGER",
    "ALTER TABLE batteries ADD COLUMN discharge_limit_a FLOAT",
    "ALTER TABLE batteries ADD COLUMN charge_limit_a FLOAT",
    "ALTER TABLE batteries ADD COLUMN hottest_c FLOAT",
    "ALTER TABLE batteries ADD COLUMN charge_hottest_c FLOAT",
    "ALTER TABLE batteries ADD COLUMN charge_coldest_c FLOAT",
)
