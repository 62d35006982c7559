"""What a person does to a run, each as one edit: what it joins, what feeds it, its fuse's spot."""

from domain.build.actions import zone_of
from domain.build.choices import BlockKind, Polarity
from domain.build.edits import (
    AddRecord,
    Batch,
    Edit,
    EditRefused,
    Scalar,
    SetField,
)
from domain.build.records import (
    DEVICE_TABLES,
    Build,
    Run,
    Spot,
    table_of,
)
from domain.document.records import find, label, next_id


def add_run(build: Build, source: str, target: str, **values: Scalar) -> Batch:
    """Add a run between two devices; grounded when an end is a ground point or ground block."""
    ends = (find(build, source), find(build, target))
    grounded = any(
        end is not None
        and (end.id.startswith("e") or getattr(end, "kind", None) == BlockKind.GROUND)
        for end in ends
    )
    record = {
        "id": next_id(build, "runs"),
        "source": source,
        "target": target,
        "polarity": Polarity.GROUND if grounded else Polarity.POSITIVE,
        "zone": zone_of(build, target),
        **values,
    }
    return Batch(edits=(AddRecord(table="runs", record=record),), label="add a run")


def feed_from(build: Build, run: str, source: str) -> Edit:
    """Feed a run from another device; refused when that device is fed through this very run."""
    record = find(build, run)
    if not isinstance(record, Run):
        raise EditRefused(f"there is no run {run!r}")
    if find(build, source) is None or table_of(source) not in DEVICE_TABLES:
        raise EditRefused("a run starts at a battery, alternator, amplifier, block or ground point")
    if source == record.target or source in downstream(build, record.target, record.polarity):
        raise EditRefused(
            f"{label(build, source)} is itself fed through this run: feed it from something "
            "nearer to the battery"
        )
    return move_end(build, run, "source", source)


def move_end(build: Build, run: str, field: str, device: str) -> Edit:
    """Join an end of a run ("source" or "target") to another device.

    A length that was measured holds no longer: it falls back to assumed until it is measured.
    """
    record = find(build, run)
    edit = SetField(table="runs", id=run, field=field, value=device)
    if not isinstance(record, Run) or getattr(record, field) in ("", device):
        return edit
    if record.length_m is None:
        return edit
    again = SetField(table="runs", id=run, field="length_m", value=None)
    name = label(build, run)
    return Batch(edits=(edit, again), label=f"move an end of {name}: measure its length again")


def choose_spot(build: Build, spot: str) -> Batch:
    """Put a run's fuse at a fuse spot: its distance, and the run's length where measured."""
    record = find(build, spot)
    if not isinstance(record, Spot) or not record.run:
        raise EditRefused("name the run whose fuse would sit at this spot first")
    run = record.run
    edits: list[Edit] = [
        SetField(table="runs", id=run, field="fused", value=True),
        SetField(table="runs", id=run, field="fuse_distance_m", value=record.feed_m),
    ]
    length = next((r.length_m for r in build.runs if r.id == run), None)
    if record.onward_m is None and length is not None and record.feed_m > length:
        raise EditRefused(
            f"{label(build, spot)} lies beyond the end of {label(build, run)}: enter the wire from "
            "there onward too"
        )
    if record.onward_m is not None:
        length = record.feed_m + record.onward_m
        edits.append(SetField(table="runs", id=run, field="length_m", value=length))
    return Batch(edits=tuple(edits), label=f"fuse of {label(build, run)} at {label(build, spot)}")


def downstream(build: Build, device: str, polarity: Polarity) -> set[str]:
    """Every device reached from this one along runs of one side, from source to target."""
    found: set[str] = set()
    reach = [device]
    while reach:
        here = reach.pop()
        for run in build.runs:
            if run.source == here and run.polarity == polarity and run.target not in found:
                found.add(run.target)
                reach.append(run.target)
    return found
