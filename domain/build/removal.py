"""Taking a record out, with what makes no sense without it, and saying what goes along."""

from collections.abc import Iterable

from domain.build.actions import MOST_LABEL, move_end
from domain.build.choices import BlockKind, LeadKind, Polarity
from domain.build.edits import Batch, Edit, EditRefused, RemoveRecord, SetField, users
from domain.build.lead_records import Lead
from domain.build.records import TABLES, Build, Run, table_of
from domain.document.records import find, label


def remove(build: Build, table: str, id: str) -> Batch:
    """Remove a record and what makes no sense without it.

    Runs of a removed device go with it, but the branches of a block are fed from the block's own
    feed; a removed zone is cleared where it was named; a part takes its panels and holes along.
    """
    if table not in TABLES or find(build, id) is None:
        raise EditRefused(f"{table} has no record {id!r}")
    edits: list[Edit] = []
    _remove_into(build, table, id, edits, set())
    said = f"remove {label(build, id)}"
    more = with_it(build, edits)
    return Batch(edits=tuple(edits), label=(f"{said}, with {more}" if more else said)[:MOST_LABEL])


def with_it(build: Build, edits: Iterable[Edit]) -> str:
    """What goes with the last of what edits remove, by name; "" where it goes alone."""
    gone = [edit.id for edit in edits if isinstance(edit, RemoveRecord)][:-1]
    return ", ".join(label(build, id) for id in gone)


def _remove_into(build: Build, table: str, id: str, edits: list[Edit], gone: set[str]) -> None:
    if id in gone:
        return
    gone.add(id)
    if table == "batteries":
        for block in _isolators_of(build, id):
            _remove_all(build, block, edits, gone)
    feeder = ""
    if table == "blocks":
        feeder = next((r.source for r in build.runs if r.target == id), "")
    for user_table, user, field in users(build, id):
        if user in gone:
            continue
        branch = find(build, user)
        onward_lead = isinstance(branch, Lead) and branch.kind is LeadKind.REMOTE
        if onward_lead and field == "source" and (back := _switched_from(build, id)):
            edits.append(SetField(table=user_table, id=user, field=field, value=back))
            edits.append(SetField(table=user_table, id=user, field="length_m", value=None))
            continue
        onward = isinstance(branch, Run) and field == "source" and feeder != branch.target
        if feeder and onward and not _grounds_isolator(build, branch):
            moved = move_end(build, user, field, feeder)
            edits += moved.edits if isinstance(moved, Batch) else (moved,)
        elif field in ("zone", "carries", "device", "fixing", "feed"):
            edits.append(SetField(table=user_table, id=user, field=field, value=""))
        else:
            _remove_into(build, user_table, user, edits, gone)
    edits.append(RemoveRecord(table=table, id=id))


def _switched_from(build: Build, device: str) -> str:
    """What the remote lead of a device comes from: leads that it hands on are fed from there."""
    own = (w for w in build.leads if w.target == device and w.kind is LeadKind.REMOTE)
    return next((w.source for w in own if w.source != device), "")


def _isolators_of(build: Build, battery: str) -> list[str]:
    """The isolators that lead to this battery and to nothing else: they go with it."""
    found = []
    for block in build.blocks:
        out = [
            r.target for r in build.runs if r.source == block.id and r.polarity is Polarity.POSITIVE
        ]
        if block.kind is BlockKind.ISOLATOR and out == [battery]:
            found.append(block.id)
    return found


def _remove_all(build: Build, device: str, edits: list[Edit], gone: set[str]) -> None:
    """Remove a device with all its runs; nothing is fed past it."""
    for user_table, user, _ in users(build, device):
        if user_table == "runs":
            _remove_into(build, user_table, user, edits, gone)
    _remove_into(build, table_of(device), device, edits, gone)


def _grounds_isolator(build: Build, run: object) -> bool:
    """Whether a run is the ground lead of an isolator: nothing is fed through it."""
    if not isinstance(run, Run) or run.polarity is not Polarity.GROUND:
        return False
    return getattr(find(build, run.source), "kind", None) is BlockKind.ISOLATOR
