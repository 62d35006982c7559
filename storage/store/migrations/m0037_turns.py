"""The lines of undo and redo by themselves: whether there is anything to redo is looked up."""

NAME = "m0037_turns"

STATEMENTS = (
    "CREATE INDEX journal_turns ON journal (build_key, revision) WHERE kind IN ('undo', 'redo')",
    "CREATE INDEX shop_journal_turns ON shop_journal (revision) WHERE kind IN ('undo', 'redo')",
)
