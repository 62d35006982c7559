"""The open build: its sheet, its edits, undo and redo, and the store behind it.

Screens talk to the workbench and to nothing else. Every edit is applied, evaluated and
committed in one go, so there is never anything left to save.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from domain.build.edits import Batch, Edit, EditRefused, SetField, apply, describe
from domain.build.records import Build, label
from domain.findings import Level
from domain.sheet import Sheet

if TYPE_CHECKING:
    from domain.plan import Plan
    from storage.store.builds import Store


class Bench(Protocol):
    """What tables are shown of and edits are made on: an open build, or the shop."""

    @property
    def build(self) -> Build:
        """The records, as they are now; of the shop, its library of footprints."""

    @property
    def sheet(self) -> Sheet:
        """What follows from them."""

    @property
    def told(self) -> str:
        """What the user should be told about the last action, or empty."""

    def do(self, edit: Edit) -> None:
        """Make and save an edit; ``EditRefused`` or ``StoreError`` where nothing was changed."""

    def changes(self, edit: Edit) -> bool:
        """Whether an edit changes anything; ``EditRefused`` when it cannot be made."""

    def preview(self, edit: Edit) -> Sheet:
        """The sheet as it would be after this edit; nothing is committed."""

    def undo(self) -> bool:
        """Take the last change back; false when there is none."""

    def redo(self) -> bool:
        """Make the change again that was taken back; false when there is none."""


@dataclass(slots=True)
class Trial:
    """An edit worked out on a build, and not made yet: what is typed is tried at every key."""

    base: Build
    edit: Edit
    after: Build
    inverse: Edit
    _plan: "Plan | None" = None

    @property
    def plan(self) -> "Plan":
        """``after`` worked out, once it is asked for and then kept."""
        if self._plan is None:
            self._plan = planned(self.after)
        return self._plan


class Workbench:
    """One open build. Without a store it keeps everything in memory only."""

    def __init__(self, store: "Store | None", key: int, build: Build, revision: int) -> None:
        self.store = store
        self.key = key
        self.revision = revision
        self.plan = planned(build)
        """The build worked out: it, its sheet and its solved network."""
        self.before = self.sheet
        """The sheet before the last edit: what changed figures are compared with."""
        self._tried: Trial | None = None
        self.told: str = ""
        """What the user should be told about the last action, or empty."""
        self._undo: list[tuple[Edit, str]] = []
        self._redo: list[tuple[Edit, str]] = []

    @property
    def build(self) -> Build:
        """The records, as they are now."""
        return self.plan.build

    @property
    def sheet(self) -> Sheet:
        """What follows from them."""
        return self.plan.sheet

    @property
    def saved(self) -> str:
        """How the build is saved, for the header line."""
        return f"saved rev {self.revision}" if self.store else "not kept in a store"

    @property
    def previewed(self) -> Build:
        """The build as it would be after the edit that was previewed last."""
        return self._tried.after if self._tried else self.build

    def do(self, edit: Edit) -> None:
        """Apply, evaluate and commit an edit; what its preview worked out is taken from there.

        Raises ``EditRefused`` when the edit cannot be made and ``StoreError`` when it cannot be
        saved; the build is unchanged then. When another session committed in between, its work
        is loaded first and the edit is made on top of it.
        """
        self.told = ""
        trial = self._try(edit)
        edit = named(self.build, edit)
        if self.store is not None:
            from storage.errors import StoreChanged

            try:
                self._commit(edit, trial)
            except StoreChanged:
                self.reload()
                trial = self._try(edit)
                self._commit(edit, trial)
                self.told = "Another session changed this build: its work is loaded, yours is on it"
        else:
            self._undo.append((trial.inverse, describe(edit)))
            self._redo.clear()
            self.revision += 1
        self._now(trial.plan)

    def changes(self, edit: Edit) -> bool:
        """Whether an edit changes anything; ``EditRefused`` when it cannot be made."""
        return self._try(edit).after != self.build

    def preview(self, edit: Edit) -> Sheet:
        """The sheet as it would be after this edit; nothing is committed.

        Raises ``EditRefused`` when the edit cannot be made.
        """
        return self._try(edit).plan.sheet

    def undo(self) -> bool:
        """Take the last change back; false when there is none."""
        return self._step("undo")

    def redo(self) -> bool:
        """Make the change again that was taken back; false when there is none."""
        return self._step("redo")

    def reload(self) -> None:
        """Read the build again from the store."""
        if self.store is not None:
            opened = self.store.open(self.key)
            self.revision = opened.revision
            self._now(planned(opened.build))

    def _step(self, way: str) -> bool:
        self.told = ""
        if self.store is None:
            return self._step_in_memory(way)
        from storage.errors import StoreChanged

        move = self.store.undo if way == "undo" else self.store.redo
        try:
            done = move(self.key, self.revision, self.build)
        except StoreChanged:
            self.reload()
            self.told = f"Another session changed this build: it is loaded, {way} again if you like"
            return True
        if done is None:
            return False
        self.revision = done.revision
        self.told = f"{'Undone' if way == 'undo' else 'Done again'}: {done.label}"
        self._now(planned(done.build))
        self.store.note_stops(self.key, self.sheet.count(Level.STOP))
        return True

    def _step_in_memory(self, way: str) -> bool:
        here, there = (self._undo, self._redo) if way == "undo" else (self._redo, self._undo)
        if not here:
            return False
        edit, text = here.pop()
        after, inverse = apply(self.build, edit)
        there.append((inverse, text))
        self.revision += 1
        self.told = f"{'Undone' if way == 'undo' else 'Done again'}: {text}"
        self._now(planned(after))
        return True

    def _try(self, edit: Edit) -> Trial:
        """An edit worked out on the build as it is, once."""
        tried = self._tried
        if tried is None or tried.base is not self.build or tried.edit != edit:
            tried = self._tried = Trial(self.build, edit, *apply(self.build, edit))
        return tried

    def _commit(self, edit: Edit, trial: Trial) -> None:
        assert self.store is not None
        stops = trial.plan.sheet.count(Level.STOP)
        self.revision = self.store.commit(
            self.key, self.revision, edit, trial.inverse, trial.after, stops=stops
        )

    def _now(self, plan: "Plan") -> None:
        self.before = self.sheet
        self.plan = plan


def named(build: Build, edit: Edit) -> Edit:
    """The edit with what a person would call it, for the journal and the undo message."""
    if not isinstance(edit, SetField):
        return edit
    from domain.build.fields import title

    whose = "the build" if edit.table == "header" else label(build, edit.id)
    return Batch(edits=(edit,), label=f"{title(edit.table, edit.field)} of {whose}")


def planned(build: Build) -> "Plan":
    """A build worked out; the engine is loaded at the first call."""
    from domain.evaluate import make_plan

    return make_plan(build)


def evaluated(build: Build) -> Sheet:
    """The sheet of a build, for those who need no more."""
    return planned(build).sheet


__all__ = ["Bench", "EditRefused", "Workbench", "evaluated", "planned"]
