"""A build that is only looked at."""

from typing import NoReturn

from domain.build.edits import Edit, EditRefused
from domain.build.records import Build
from tui.workbench import Workbench


class LookedAt(Workbench):
    """Everything can be looked at, nothing is changed."""

    def __init__(self, key: int, build: Build, revision: int, saved: str, why: str) -> None:
        super().__init__(None, key, build, revision)
        self._saved = saved
        self._why = why

    @property
    def saved(self) -> str:
        """What it is, for the header line."""
        return self._saved

    def do(self, edit: Edit) -> NoReturn:
        """Nothing is done."""
        raise EditRefused(self._why)

    def undo(self) -> NoReturn:
        """Nothing is taken back."""
        raise EditRefused(self._why)

    redo = undo
