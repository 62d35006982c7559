"""Taking a record out, with what makes no sense without it, and saying what goes along."""

from collections.abc import Collection, Iterable, Iterator
from typing import NamedTuple

from domain.build.actions import MOST_LABEL, applied
from domain.build.banks import banks
from domain.build.choices import BlockKind, Isolates, LeadKind, LoadKind, Polarity
from domain.build.edits import Batch, Edit, EditRefused, RemoveRecord, SetField, users
from domain.build.house_side import joined
from domain.build.record_kinds.lead_records import Lead
from domain.build.records import TABLES, Block, Build, Run, table_of
from domain.build.run_ends import move_end
from domain.document.records import find, label

MOST_NAMED = 3
"""Of more wires that go along only the number is told."""


class Removal(NamedTuple):
    """A way to remove something: what it is called in a list, the edit, what it takes, in full."""

    name: str
    edit: Batch
    said: str


def remove(build: Build, table: str, id: str) -> Batch:
    """Remove a record and what makes no sense without it.

    Runs of a removed device go with it, but what a block or a further battery feeds is fed from
    where that was; a removed zone or place is cleared where it was named, but the sections that end
    at a place go with it; a part takes its panels and holes along.
    """
    return ways(build, table, id)[0].edit


def ways(build: Build, table: str, id: str) -> list[Removal]:
    """How a record may be removed, each as one edit: alone; of a bank's battery all of it too."""
    if table not in TABLES or find(build, id) is None:
        raise EditRefused(f"{table} has no record {id!r}")
    found = [_removal(build, f"{label(build, id)} alone", label(build, id), [id])]
    bank = next((b for b in banks(build) if id in {each.id for each in b}), ())
    if bank:
        whole = f"the whole bank of {len(bank)}"
        found.append(_removal(build, whole, whole, [each.id for each in bank]))
    return found


def _removal(build: Build, name: str, what: str, ids: list[str]) -> Removal:
    """Remove records one after the other, as one edit."""
    edits: list[Edit] = []
    after = build
    for id in ids:
        own = _with_what_goes(after, id)
        edits += own
        after = applied(after, *own)
    said = f"{what}{_along(build, edits, ids)}"
    return Removal(name, Batch(edits=tuple(edits), label=f"remove {said}"[:MOST_LABEL]), said)


def _with_what_goes(build: Build, id: str) -> list[Edit]:
    edits: list[Edit] = []
    gone: set[str] = set()
    if table_of(id) == "batteries":
        _parting_nothing(build, id, edits, gone)
    _remove_into(build, table_of(id), id, edits, gone)
    return edits + _left_bare(build, id, edits)


def _parting_nothing(build: Build, battery: str, edits: list[Edit], gone: set[str]) -> None:
    """With the last battery behind it an isolator goes; what it feeds is fed from ahead of it.

    A fuse at the far end of such a run guarded it against the batteries there: it goes too.
    """
    here = joined(build, battery)
    others = {b.id for b in build.batteries} - {battery}
    if build.batteries[0].id in here or others & here:
        return
    for block in build.blocks:
        fed = [r for r in build.runs if r.source == block.id and r.target in here]
        if block.kind is not BlockKind.ISOLATOR or block.isolates is Isolates.SWITCH or not fed:
            continue
        if block.id in _isolators_of(build, battery):
            continue  # it goes with all its wires
        _remove_into(build, "blocks", block.id, edits, gone)
        for run in fed:
            if run.far_fused and run.id not in gone and run.polarity is Polarity.POSITIVE:
                edits.append(SetField(table="runs", id=run.id, field="far_fused", value=False))
                back = SetField(table="runs", id=run.id, field="far_fuse_distance_m", value=None)
                edits.append(back)


def _left_bare(build: Build, id: str, edits: list[Edit]) -> list[Edit]:
    """The removal of ground points that nothing leads to any more, where the place has another."""
    gone = {edit.id for edit in edits if isinstance(edit, RemoveRecord)}
    ends = {end for run in build.runs if run.id in gone for end in (run.source, run.target)}
    kept = {end for run in build.runs if run.id not in gone for end in (run.source, run.target)}
    bare = [g for g in build.grounds if g.id in ends - kept - gone - {id}]
    found: list[Edit] = []
    for ground in bare:
        beside = [g for g in build.grounds if g.zone == ground.zone and g.id not in gone]
        if len(beside) > 1:
            more: list[Edit] = []
            _remove_into(build, "grounds", ground.id, more, gone)
            found += more
    return found


def _along(build: Build, edits: Iterable[Edit], removed: Collection[str]) -> str:
    """What goes with what was to be removed, and what is fed from elsewhere then.

    As the end of a sentence; "" where it goes alone.
    """
    edits = tuple(edits)
    gone = [edit.id for edit in edits if isinstance(edit, RemoveRecord) and edit.id not in removed]
    wires = [id for id in gone if table_of(id) in ("runs", "leads")]
    named = gone if len(wires) <= MOST_NAMED else [id for id in gone if id not in wires]
    names = [label(build, id) for id in named]
    names += [f"{len(wires)} wires"] if len(wires) > MOST_NAMED else []
    said = f", with {', '.join(names)}" if names else ""
    fed: dict[str, list[str]] = {}
    for edit in edits:
        if isinstance(edit, SetField) and (edit.table, edit.field) == ("runs", "source"):
            fed.setdefault(str(edit.value), []).append(edit.id)
    again = {
        edit.id
        for edit in edits
        if isinstance(edit, SetField) and (edit.table, edit.field) == ("runs", "length_m")
    }
    for device, runs in fed.items():
        are = "are" if len(runs) > 1 else "is"
        hung = ", ".join(label(build, run) for run in runs)
        said += f"; {hung} {are} fed from {label(build, device)} now"
        measured = [label(build, run) for run in runs if run in again]
        if measured:
            which = "it" if len(runs) == 1 else ", ".join(measured)
            said += f": measure {which} anew"
    return said + _stays(build, removed)


def _stays(build: Build, removed: Collection[str]) -> str:
    """What was laid anew for an alternator, inverter or bank, and may be for more: it stays."""
    banked = {battery.id for bank in banks(build) for battery in bank}
    asks = {g.id for g in build.alternators[1:]}
    asks |= {v.id for v in build.appliances if v.kind is LoadKind.INVERTER}
    if not (asks & {*removed} or (banked <= {*removed} and banked)):
        return ""
    homes = {b.id for b in build.batteries} - {*removed}
    laid = [r for r in build.runs if r.source in homes and r.polarity is Polarity.GROUND]
    new = [label(build, r.id) for r in laid if not r.existing]
    return f"; {', '.join(new)} stay{'s' if len(new) == 1 else ''} as new wire" if new else ""


def _remove_into(build: Build, table: str, id: str, edits: list[Edit], gone: set[str]) -> None:
    if id in gone:
        return
    gone.add(id)
    feed = _feed_of(build, table, id)
    if table == "batteries":
        for block in _isolators_of(build, id):
            _remove_all(build, block, edits, gone)
    for user_table, user, field in users(build, id):
        if user in gone:
            continue
        branch = find(build, user)
        onward_lead = isinstance(branch, Lead) and branch.kind is LeadKind.REMOTE
        if onward_lead and field == "source" and (back := _switched_from(build, id)):
            edits.append(SetField(table=user_table, id=user, field=field, value=back))
            edits.append(SetField(table=user_table, id=user, field="length_m", value=None))
            continue
        run = branch if isinstance(branch, Run) and field == "source" else None
        if feed and run and feed.source != run.target and _goes_on(build, table, run):
            moved = move_end(build, user, field, feed.source)
            edits += moved.edits if isinstance(moved, Batch) else (moved,)
            edits += _fuse_of(build, id, feed, run)
        elif field in ("zone", "place", "via", "carries", "device", "fixing", "feed"):
            edits.append(SetField(table=user_table, id=user, field=field, value=""))
        else:
            _remove_into(build, user_table, user, edits, gone)
    edits.append(RemoveRecord(table=table, id=id))


def _feed_of(build: Build, table: str, id: str) -> Run | None:
    """The run that feeds a block, or a further battery through what goes with it."""
    feeds = [run for run in build.runs if run.target == id]
    if table == "blocks":
        return next(iter(feeds), None)
    if table != "batteries" or id == build.batteries[0].id:
        return None
    feed = next((run for run in feeds if run.polarity is Polarity.POSITIVE), None)
    if feed and feed.source in _isolators_of(build, id):
        return _feed_of(build, "blocks", feed.source)
    return None if feed is None or table_of(feed.source) == "alternators" else feed


def _goes_on(build: Build, table: str, run: Run) -> bool:
    """Whether a run of what is removed feeds something onward, which is fed all the same."""
    if table == "batteries":
        return run.polarity is Polarity.POSITIVE
    return not _grounds_isolator(build, run)


def _fuse_of(build: Build, removed: str, feed: Run, onward: Run) -> Iterator[Edit]:
    """The fuse of an isolator's feed stays, at the beginning of what is fed past it now."""
    block = find(build, removed)
    if not isinstance(block, Block) or block.kind is not BlockKind.ISOLATOR:
        return
    if feed.fused and feed.polarity is onward.polarity is Polarity.POSITIVE:
        kept = ["fused", "fuse_distance_m", "zone"]
        if onward.fused:  # it sat at the isolator, and sits where that one's sat now
            kept = ["fuse_distance_m"]
        elif block.isolates is not Isolates.CONVERTER:  # else less flowed ahead than behind
            kept += ["fuse_a", "fuse_family"]
        for field in kept:
            value = getattr(feed, field)
            yield SetField(table="runs", id=onward.id, field=field, value=value)


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
