"""Grounds that come with a device: a ground point with room on its stud, cables laid anew."""

from collections.abc import Mapping
from types import MappingProxyType

from domain.build.choices import BlockKind, Isolates, Polarity
from domain.build.edits import AddRecord, Edit, Scalar, SetField
from domain.build.records import Block, Build, GroundPoint, Run
from domain.document.names import free
from domain.document.records import find, label, next_id
from domain.reference.planning import planned


def ground_run(
    build: Build,
    device: str,
    zone: Scalar,
    taken: frozenset[str],
    like: Mapping[str, Scalar] = MappingProxyType({}),
) -> list[Edit]:
    """The edits that ground a new device nearby; none where the build has no ground at all.

    At a ground block or point of its zone, else at the last of the build, that has room for so
    many rings; where all are full, at a further ground point there. ``taken`` are ids of
    runs that the same edit adds before, ``like`` more fields of the new run.
    """
    grounds: list[Block | GroundPoint] = [*_blocks(build), *build.grounds]
    near = [g for g in grounds if g.zone == zone] or list(build.grounds[-1:])
    if not near:
        return []
    wires = int(like.get("count") or 1)
    home = next((g.id for g in near if has_room(build, g.id, wires)), "")
    edits: list[Edit] = []
    if not home:
        home, edit = further_point(build, near[-1].id)
        edits.append(edit)
    record: dict[str, Scalar] = {
        "id": next_id(build, "runs", taken),
        "polarity": Polarity.GROUND,
        "source": device,
        "target": home,
        "zone": zone,
        **like,
    }
    return [*edits, AddRecord(table="runs", record=record)]


def ungrounded(build: Build) -> tuple[str, ...]:
    """The devices that need a ground wire and have none, by id; what has a case for it too."""
    grounded = {r.source for r in build.runs if r.polarity is Polarity.GROUND}
    chargers = [b for b in build.blocks if b.isolates is Isolates.CONVERTER]
    devices = (*build.amplifiers, *build.appliances, *build.batteries, *chargers)
    return tuple(device.id for device in devices if device.id not in grounded)


def ground_of_device(build: Build, device: str) -> tuple[Edit, ...]:
    """The edits that ground a device that has no ground wire: a charger beside its battery's.

    None where the build has no ground at all.
    """
    record = find(build, device)
    if record is None:
        return ()
    own = {r.target for r in build.runs if r.source == device}
    for run in build.runs:
        if run.polarity is Polarity.GROUND and run.source in own and has_room(build, run.target):
            new: dict[str, Scalar] = {
                "id": next_id(build, "runs"),
                "polarity": Polarity.GROUND,
                "source": device,
                "target": run.target,
                "zone": run.zone,
            }
            return (AddRecord(table="runs", record=new),)
    return tuple(ground_run(build, device, getattr(record, "zone", ""), frozenset()))


def has_room(build: Build, ground: str, wires: int = 1) -> bool:
    """Whether a ground takes so many rings more: a stud by practice, a block by its places."""
    block = next((b for b in _blocks(build) if b.id == ground), None)
    ends = [(r.source, r.target) if block is None else (r.target,) for r in build.runs]
    there = sum(run.count for run, at in zip(build.runs, ends, strict=True) if ground in at)
    return there + wires <= (planned("rings_per_stud") if block is None else block.places)


def further_point(build: Build, ground: str) -> tuple[str, Edit]:
    """A ground point beside this ground, named by its zone: its id, and the edit that adds it."""
    grounds: list[Block | GroundPoint] = [*build.grounds, *build.blocks]
    taken = [each.name for each in grounds]
    beside = next(each for each in grounds if each.id == ground)
    zone = next((z.name for z in build.zones if z.id == beside.zone and z.name), "")
    name = f"{zone} ground" if zone else label(build, ground)
    record: dict[str, Scalar] = {
        "id": next_id(build, "grounds"),
        "name": free(name, taken),
        "zone": beside.zone,
        "place": beside.place,
    }
    return str(record["id"]), AddRecord(table="grounds", record=record)


def new_grounds(build: Build, battery: str, wires: int = 1) -> tuple[tuple[Edit, ...], str]:
    """The edits that lay a battery's own ground cables anew, and what to say of it.

    ``wires``: so many side by side, as its power run has (common practice: a battery's ground is
    as thick as its thickest power run).
    """
    edits: list[Edit] = []
    said = ""
    for run in build.runs:
        if not _grounds(run, battery):
            continue
        if run.existing:
            edits += as_new_wire(run)
            said += f", a new {label(build, run.id)}"
        if run.count < wires and (run.existing or run.gauge is None):
            edits.append(SetField(table="runs", id=run.id, field="count", value=wires))
    return tuple(edits), said


def as_new_wire(run: Run) -> tuple[Edit, ...]:
    """The edits that lay a run which is in the vehicle already anew: sized, and then bought."""
    fresh: dict[str, Scalar] = {"existing": False, "gauge": None, "strands": None}
    return tuple(
        SetField(table="runs", id=run.id, field=field, value=value)
        for field, value in fresh.items()
        if getattr(run, field) != value
    )


def _grounds(run: Run, device: str) -> bool:
    return run.polarity is Polarity.GROUND and device in (run.source, run.target)


def _blocks(build: Build) -> list[Block]:
    return [b for b in build.blocks if b.kind is BlockKind.GROUND]
