"""The builds by their last change: the first screenful of thousands is read without the rest."""

NAME = "m0020_newest_first"

STATEMENTS = ("CREATE INDEX build_by_change ON build (changed DESC, key DESC)",)
