"""Which edit undo takes back and redo makes again: one's own last, if nobody went on from it.

Several people work on one document, so that the last edit is not always one's own, and what is
one's own may no longer be as one left it.
"""

from collections.abc import Callable, Iterable, Iterator
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
    mine = _by(connection, author)
    theirs: list[_Edit] = []
    for _, edit, stands in _newest_first(connection, filing):
        if not stands:
            continue
        if mine(edit):
            return _step(connection, filing, edit, theirs, "taken back")
        theirs.append(edit)
    if theirs:
        others = " and ".join(sorted({each.person or UNKNOWN for each in theirs}))
        raise StoreError(f"nothing of yours is left to take back, what stands is by {others}")
    return None


def next_redo(connection: Reading, filing: Filing[Any], author: Author) -> Step | None:
    """The edit that redo makes again now, or ``None``; a new edit leaves nothing to redo."""
    mine = _by(connection, author)
    if not _anything_undone(connection, filing, mine):
        return None
    theirs: list[_Edit] = []
    persons: set[str] = set()
    sessions: set[str] = set()
    for line, edit, stands in _newest_first(connection, filing):
        if stands is False and mine(edit):
            # whose person may have taken it back has made a new edit since
            one_hand = not edit.person or edit.person in persons or edit.session in sessions
            if not (persons and one_hand):
                return _step(connection, filing, edit, theirs, "made again")
        elif stands and not mine(edit):
            theirs.append(edit)
        if line.kind == "do":
            persons.add(line.person)
            sessions.add(line.session)
            if author.person in persons and author.session in sessions:
                break  # so has this one: nothing from before is left
    return None


def _anything_undone(
    connection: Reading, filing: Filing[Any], mine: Callable[[_Edit], bool]
) -> bool:
    """Whether redo has anything of one's own to make again: told without reading the edits.

    They are many, and who has made none yet would read them all to find nothing.
    """
    told: set[int] = set()
    gone_on: set[tuple[str, str]] = set()  # who has made a new edit since
    for line in journal.turns(connection, filing):
        about = line.revision if line.target is None else line.target
        hand = line.person, line.session
        undone = about not in told and line.kind == "undo"
        told.add(about)
        edit = _Edit(about, line.revision, *hand, line.label)
        if not undone or hand in gone_on or not mine(edit):
            continue
        if not journal.edited_since(connection, filing, line.revision, *hand):
            return True
        gone_on.add(hand)
    return False


def _newest_first(
    connection: Reading, filing: Filing[Any]
) -> Iterator[tuple[journal.JournalLine, _Edit, bool | None]]:
    """The lines of the journal, the last one first, each with the edit that it is about.

    And whether that edit stands now; ``None`` where a later line has told that already. Who looks
    no further reads no more of the journal.
    """
    told: dict[int, int] = {}  # by edits that are still to come: the line that told of them
    for line in journal.newest_first(connection, filing):
        number = line.revision
        about = number if line.target is None else line.target
        stands: bool | None = None
        if line.kind == "do":
            stands = None if told.pop(number, None) else True
        elif number in told:
            raise journal.damaged(filing, told[number])
        elif line.kind in ("undo", "redo"):
            if not 0 < about < number:
                raise journal.damaged(filing, number)
            if about not in told:
                told[about] = number
                stands = line.kind == "redo"
        yield line, _Edit(about, number, line.person, line.session, line.label), stands


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
    own: _Edit,
    theirs: Iterable[_Edit],
    way: str,
) -> Step:
    """An edit of one's own, unless one of theirs since it meets it; theirs the last one first."""
    step = journal.step(connection, filing, own.revision)
    places = touched(step.edit)
    for later in theirs:
        edit = journal.step(connection, filing, later.revision).edit
        if meet(places, touched(edit)):
            raise StoreError(
                f"{own.label} cannot be {way}: {later.person or UNKNOWN} has made "
                f"an edit there since ({later.label})"
            )
    return step
