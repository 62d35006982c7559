"""What a quote needs: finish, price of an hour, mark-up, tax, currency."""

NAME = "m0004_quote"

STATEMENTS = (
    "ALTER TABLE build ADD COLUMN finish TEXT NOT NULL DEFAULT 'clean'",
    "ALTER TABLE build ADD COLUMN labour_price FLOAT NOT NULL DEFAULT 0",
    "ALTER TABLE build ADD COLUMN markup_ratio FLOAT NOT NULL DEFAULT 1",
    "ALTER TABLE build ADD COLUMN tax_percent FLOAT NOT NULL DEFAULT 0",
    "ALTER TABLE build ADD COLUMN currency TEXT NOT NULL DEFAULT ''",
)
