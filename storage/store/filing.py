"""Where in the file a document stands: its tables, its journal, and what to call it.

A build's rows stand in tables for all builds, by its key; what the shop keeps has tables of its
own. Reading, writing, journal and undo know nothing else of the difference.
"""

from collections.abc import Callable, Mapping
from typing import Generic, TypeVar

from msgspec import Struct

from domain.build.records import Build
from domain.document.records import Document
from storage.errors import StoreError

D = TypeVar("D", bound=Document)


class Filing(Struct, Generic[D], frozen=True):
    """Where a document stands, and what to say where it cannot be read."""

    whose: str
    """What it is called: "build 3", "the shop"."""
    empty: D
    """A document of this kind that holds nothing."""
    key: int | None
    """Key of the build; ``None``: its tables hold nothing else."""
    tables: Mapping[str, str]
    """The file's table for each of the document's."""
    journal: str
    """The table of its journal."""
    revision: str
    """The query for its revision; no row: it is not there."""
    damaged: Callable[[str], StoreError]
    """What to say of a row that is not what a record can be: "runs r3: length_m: ..."."""
    lost_journal: str
    """What to do where its journal is damaged."""

    @property
    def where(self) -> str:
        """The condition for its rows."""
        return "TRUE" if self.key is None else "build_key = ?"

    @property
    def arguments(self) -> tuple[int, ...]:
        """What the question marks of a query stand for."""
        return () if self.key is None else (self.key,)

    def gone(self) -> StoreError:
        """What to say when it is not there."""
        return StoreError(
            f"there is no {self.whose} in this store: choose one from the list of builds"
        )


def of_build(key: int) -> Filing[Build]:
    """A build."""

    def damaged(what: str) -> StoreError:
        return StoreError(
            f"build {key} is damaged in {what}; nothing was changed, and its journal still holds "
            f"every edit: 'mainrun recover {key}' makes a new build from it"
        )

    return Filing(
        f"build {key}",
        Build(),
        key,
        {table: table for table in Build.TABLES},
        "journal",
        "SELECT revision FROM build WHERE key = ?",
        damaged,
        "the build itself is whole, duplicate it and go on with the copy",
    )
