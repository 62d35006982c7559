"""Which columns of a table a person wants to see, on every screen and in every session."""

from collections.abc import Sequence

from storage.store.author import Author
from storage.store.database import Reading

Columns = dict[str, tuple[str, ...]]
"""Ids of the columns wanted, by the id of their table."""


def of_person(connection: Reading, author: Author) -> Columns:
    """What a person has chosen; a table that is not among them is shown as it is at first."""
    rows = connection.execute(
        "SELECT grid, shown FROM wanted_columns WHERE person = ?", (author.person,)
    )
    return {grid: tuple(shown.split("\n")) for grid, shown in rows}


def keep(connection: Reading, author: Author, grid: str, columns: Sequence[str]) -> None:
    """Keep what a person has chosen for a table; nothing: as it is at first again."""
    where = (author.person, grid)
    connection.execute("DELETE FROM wanted_columns WHERE person = ? AND grid = ?", where)
    if columns:
        connection.execute(
            "INSERT INTO wanted_columns (person, grid, shown) VALUES (?, ?, ?)",
            (*where, "\n".join(columns)),
        )
