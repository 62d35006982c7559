"""The open document: its edits, undo and redo, and the store behind it.

Screens talk to a bench and to nothing else. One bench serves every kind of document: a
``Workbench`` is that of a build, with the sheet that follows from it; ``shop_bench`` opens that
of what the shop keeps, from which nothing follows. Every edit is saved at once, so there is never
anything left to save.
"""

from collections.abc import Callable, Collection
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from msgspec import Struct

from domain.build.choices import UnitHabit
from domain.build.edits import Batch, Edit, EditRefused, SetField, apply, describe
from domain.document.records import Document, label
from domain.visible_text import visible

if TYPE_CHECKING:
    from domain.shop.shop import Shop
    from storage.store.builds import Store
    from storage.store.documents import Kept
    from storage.store.journal import FullLine

D = TypeVar("D", bound=Document)


_NOT_YET = object()
"""What follows from a document that nobody has asked for yet."""


class Trial(Struct, Generic[D]):
    """An edit worked out on a document, and not made yet: what is typed is tried at every key."""

    base: D
    edit: Edit
    after: D
    inverse: Edit
    plan: Any = None
    """What follows from ``after``, once it was asked for."""


class Bench(Generic[D]):
    """One open document. Without a store it keeps everything in memory only."""

    def __init__(
        self,
        kept: "Kept[D] | None",
        document: D,
        revision: int,
        called: str,
        *,
        later: bool = False,
    ) -> None:
        self.kept = kept
        """The document in the store."""
        self.document = document
        """The records, as they are now."""
        self.revision = revision
        self._plan: Any = _NOT_YET
        self.awaits = later
        """Whether tables show the records before what follows from them was asked for."""
        self.before = self.sheet
        """The figures before the last edit: what changed ones are compared with."""
        self.notice: str = ""
        """What the user should be told about the last action, or empty."""
        self.called = called
        """What the document is called in a sentence: "this build", "the shop"."""
        self.begun: int | None = None
        """The revision at which the cell was opened that is being typed into."""
        self._tried: Trial[D] | None = None
        self._undo: list[tuple[Edit, str]] = []
        self._redo: list[tuple[Edit, str]] = []

    def follow(self, document: D) -> Any:
        """What follows from a document; here nothing does."""
        return None

    def glance(self, document: D) -> Any:
        """What follows at once, for a preview at every key."""
        return self.follow(document)

    def whole(self, plan: Any) -> Any:
        """The same with what takes too long for every key."""
        return plan

    def kept_with(self, plan: Any) -> Any:
        """What an edit is shown with once it is made."""
        return self.whole(plan)

    def figures(self, plan: Any) -> Any:
        """What tables show of what follows."""
        return plan

    def stops(self, plan: Any) -> int | None:
        """How many findings forbid the document, for the list of builds."""
        return None

    @property
    def plan(self) -> Any:
        """What follows from the records."""
        if self._plan is _NOT_YET:
            self.plan = self.follow(self.document)
            self.before = self.sheet
        return self._plan

    @plan.setter
    def plan(self, plan: Any) -> None:
        self._plan, self.awaits = plan, False

    @property
    def sheet(self) -> Any:
        """The figures that tables show."""
        return self.figures(self.plan)

    @property
    def saved(self) -> str:
        """How the document is saved, for the header line; that it cannot be."""
        if self.kept is None:
            return "not kept in a store"
        return f"{'read-only' if self.kept.read_only else 'saved'} rev {self.revision}"

    @property
    def previewed(self) -> D:
        """The document as it would be after the edit that was previewed last."""
        return self._tried.after if self._tried else self.document

    def do(self, edit: Edit) -> None:
        """Apply an edit and save it, with what follows; a preview is not worked out again.

        Raises ``EditRefused`` when the edit cannot be made and ``StoreError`` when it cannot be
        saved; nothing was changed then. When another session has changed the document in between,
        its work is loaded and the edit is made on top of it.
        """
        before = self.document
        self._do(edit)
        self.notice = self.notice or self.lost(before)

    def lost(self, before: D) -> str:
        """What an edit dropped that was entered before, in words; "" where nothing."""
        return ""

    def _do(self, edit: Edit) -> None:
        self.notice = ""
        trial = self._try(edit)
        edit = named(self.document, edit)
        if self.kept is None:
            self._undo.append((trial.inverse, describe(edit)))
            self._redo.clear()
            self._now(trial.after, self.revision + 1, self.kept_with(self._followed(trial)))
            return
        from storage.errors import StoreChanged

        seen = self.revision if self.begun is None else self.begun
        plan = self.kept_with(self._followed(trial))
        try:
            saved = self.kept.commit(
                self.revision, edit, trial.inverse, trial.after, self.stops(plan)
            )
        except StoreChanged:
            self.make(lambda document: edit)
        else:
            self._now(saved.document, saved.revision, plan)
        if self.revision != seen + 1:
            self.notice = self._replaced(edit, seen) or self.notice

    def make(self, make: Callable[[D], Edit], replaced: Collection[str] = ()) -> None:
        """Make the edit that ``make`` gives for the document as it is when it is saved.

        Raises ``EditRefused`` or ``StoreError``; nothing was changed then, but what another
        session has done is loaded. ``replaced``: tables that are written anew as a whole.

        What follows is worked out once it is saved: that may take seconds, and others who have
        something to save wait for the transaction.
        """
        assert self.kept is not None
        self.notice = ""
        try:
            saved = self.kept.change(make, replaced)
        except EditRefused as error:
            seen = self.revision
            if self.reload():
                raise EditRefused(f"{error}. {self._changed_since(seen)}") from None
            raise
        if saved.revision != self.revision + 1:
            self.notice = f"{self._changed_since(self.revision)}, yours is on it"
        self._now(saved.document, saved.revision)
        self.note_stops()

    def note_stops(self) -> None:
        """Note in the store how many findings forbid the document, for the list of builds."""

    def catch_up(self) -> "list[FullLine]":
        """What others have done since the document was read, newest first; it is loaded."""
        if self.kept is None or self.kept.revision() == self.revision:
            return []
        opened = self.kept.open()
        lines = self.kept.since(self.revision)
        self._now(opened.document, opened.revision)
        return [each for each in lines if each.line.revision <= opened.revision]

    def _replaced(self, edit: Edit, seen: int) -> str:
        """Whose value an edit has replaced that was not there when it was begun, or empty."""
        from domain.build.changes import changes, meet, place_of, show_change, touched

        assert self.kept is not None
        places = touched(edit)
        for each in self.kept.since(seen):
            if each.edit is None or each.inverse is None or each.line.revision >= self.revision:
                continue
            if self.kept.is_own(each) or not meet(places, touched(each.edit)):
                continue
            for change in changes(each.edit, each.inverse):
                if change.what == "set" and meet(places, frozenset([place_of(change)])):
                    about, _, value = show_change(self.document, change)
                    return f"{about}: yours replaced {value} by {by(each)}, ctrl+z gives it back"
            return (
                f"{by(each)} made an edit there meanwhile: yours replaced it, ctrl+z gives it back"
            )
        return ""

    def changes(self, edit: Edit) -> bool:
        """Whether an edit changes anything; ``EditRefused`` when it cannot be made."""
        return self._try(edit).after != self.document

    def preview(self, edit: Edit) -> Any:
        """The figures as they would be after this edit; nothing is saved.

        Raises ``EditRefused`` when the edit cannot be made.
        """
        return self.figures(self._followed(self._try(edit)))

    def undo(self) -> bool:
        """Take the last change back; false when there is none."""
        return self._step("undo")

    def redo(self) -> bool:
        """Make the change again that was taken back; false when there is none."""
        return self._step("redo")

    def reload(self) -> bool:
        """Read the document again; whether another session has changed it."""
        if self.kept is None:
            return False
        opened = self.kept.open()
        moved = opened.revision != self.revision
        self._now(opened.document, opened.revision)
        return moved

    def _changed_since(self, revision: int) -> str:
        assert self.kept is not None
        lines = [each for each in self.kept.since(revision) if not self.kept.is_own(each)]
        who = " and ".join(dict.fromkeys(by(each) for each in reversed(lines)))
        return f"{who or 'Another session'} changed {self.called}: that is loaded"

    def _step(self, way: str) -> bool:
        self.notice = ""
        if self.kept is None:
            return self._step_in_memory(way)
        done = self.kept.undo() if way == "undo" else self.kept.redo()
        if done is None:
            return False
        self.notice = f"{'Undone' if way == 'undo' else 'Done again'}: {done.label}"
        self._now(done.document, done.revision)
        return True

    def _step_in_memory(self, way: str) -> bool:
        here, there = (self._undo, self._redo) if way == "undo" else (self._redo, self._undo)
        if not here:
            return False
        edit, text = here.pop()
        after, inverse = apply(self.document, edit)
        there.append((inverse, text))
        self.notice = f"{'Undone' if way == 'undo' else 'Done again'}: {text}"
        self._now(after, self.revision + 1)
        return True

    def _try(self, edit: Edit) -> Trial[D]:
        """An edit worked out on the document as it is, once."""
        tried = self._tried
        if tried is None or tried.base is not self.document or tried.edit != edit:
            tried = self._tried = Trial(self.document, edit, *apply(self.document, edit))
        return tried

    def _followed(self, trial: Trial[D]) -> Any:
        """What follows from an edit, worked out once."""
        if trial.plan is None:
            trial.plan = self.glance(trial.after)
        return trial.plan

    def _now(self, document: D, revision: int, plan: Any = None) -> None:
        self.before = self.figures(self.plan)
        self.document = document
        self.revision = revision
        self.plan = self.follow(document) if plan is None else plan


def by(line: "FullLine") -> str:
    """Who made an edit, to be named in a sentence."""
    return visible(line.line.person) or "another session"


def shop_bench(store: "Store", units: UnitHabit) -> "Bench[Shop]":
    """What the shop keeps, opened. Raises ``StoreError`` where it cannot be read."""
    kept = store.shop(units)
    opened = kept.open()
    return Bench(kept, opened.document, opened.revision, "the shop")


def named(document: Document, edit: Edit) -> Edit:
    """The edit with what a person would call it, for the journal and the undo message."""
    if not isinstance(edit, SetField):
        return edit
    from domain.build.fields import title

    whose = "the build" if edit.table == "header" else label(document, edit.id)
    return Batch(edits=(edit,), label=f"{title(edit.table, edit.field)} of {whose}")
