"""Which edit undo takes back and redo makes again: one's own last, if nobody went on from it.

Several people work on one document, so that the last edit is not always one's own, and what is
one's own may no longer be as one left it.
"""

from collections.abc import Callable, Iterable
from typing import Any

from msgspec import Struct

from domain.build.changes import meet, touched
from storage.errors import StoreError
from storage.store import journal
from storage.store.author import UNKNOWN, Author
from storage.store.database import Reading
from storage.store.filing import Filing
from storage.store.journal import Step
from storage.store.presence import live_sessions


class _Edit(Struct, frozen=True):
    """An edit in its present state: made or taken back at ``since``."""

    revision: int
    since: int
    person: str
    session: str
    label: str


def next_undo(connection: Reading, filing: Filing[Any], author: Author) -> Step | None:
    """The edit that undo takes back now, or ``None``; ``StoreError`` says why it cannot be."""
    done, _ = _states(connection, filing)
    mine = _by(connection, author)
    own = next(filter(mine, reversed(done)), None)
    if own is None and done:
        others = " and ".join(sorted({each.person or UNKNOWN for each in done}))
        raise StoreError(f"nothing of yours is left to take back, what stands is by {others}")
    return _step(connection, filing, own, (e for e in done if not mine(e)), "taken back")


def next_redo(connection: Reading, filing: Filing[Any], author: Author) -> Step | None:
    """The edit that redo makes again now, or ``None``; a new edit leaves nothing to redo."""
    done, undone = _states(connection, filing)
    mine = _by(connection, author)
    own = next(filter(mine, reversed(undone)), None)
    return _step(connection, filing, own, (e for e in done if not mine(e)), "made again")


def _states(connection: Reading, filing: Filing[Any]) -> tuple[list[_Edit], list[_Edit]]:
    """Edits that stand and edits that are taken back, the last one last."""
    done: list[_Edit] = []
    undone: list[_Edit] = []
    for line in journal.lines(connection, filing):
        if line.kind == "do":
            done.append(_Edit(line.revision, line.revision, line.person, line.session, line.label))
            undone = [each for each in undone if not _one_hand(each, line)]
        elif line.kind in ("undo", "redo"):
            here, there = (done, undone) if line.kind == "undo" else (undone, done)
            place = next(
                (i for i in reversed(range(len(here))) if here[i].revision == line.target), None
            )
            if place is None:
                raise journal.damaged(filing, line.revision)
            was = here.pop(place)
            there.append(_Edit(was.revision, line.revision, line.person, line.session, was.label))
    return done, undone


def _one_hand(undone: _Edit, line: journal.JournalLine) -> bool:
    """Whether the person of a new edit may have taken the other one back."""
    return not undone.person or undone.person == line.person or undone.session == line.session


def _by(connection: Reading, author: Author) -> Callable[[_Edit], bool]:
    """Tells an author's own edits: of this session, or by this person in one that is over."""
    live = live_sessions(connection)

    def mine(edit: _Edit) -> bool:
        over = edit.session not in live and edit.person in ("", author.person)
        return edit.session == author.session or over

    return mine


def _step(
    connection: Reading,
    filing: Filing[Any],
    own: _Edit | None,
    theirs: Iterable[_Edit],
    way: str,
) -> Step | None:
    if own is None:
        return None
    step = journal.step(connection, filing, own.revision)
    places = touched(step.edit)
    for later in sorted(theirs, key=lambda each: each.since, reverse=True):
        if later.since <= own.since:
            break
        edit = journal.step(connection, filing, later.revision).edit
        if meet(places, touched(edit)):
            raise StoreError(
                f"{own.label} cannot be {way}: {later.person or UNKNOWN} has made "
                f"an edit there since ({later.label})"
            )
    return step
