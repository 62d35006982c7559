"""Blocks that were added before their wire could be left to the engine keep the wire they had.

A journal line that adds a record told only of what was given; what was not, the program of that
time filled in. The values of that time are put before those given: where JSON names a key twice,
the last one counts.
"""

NAME = "m0010_added_blocks"

_ADDED = '"table":"blocks","record":{'
_FILLED = _ADDED + '"largest_in":"AWG 1/0","largest_out":"AWG 4",'

STATEMENTS = (
    f"""
    UPDATE journal SET
        edit = replace(edit, '{_ADDED}', '{_FILLED}'),
        inverse = replace(inverse, '{_ADDED}', '{_FILLED}')
    WHERE at < (SELECT at FROM migration WHERE name = 'm0009_blocks')
    """,
)
