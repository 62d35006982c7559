"""The edit that mends a finding, where the engine knows one.

Offered only after it was tried: the finding is gone then, and nothing worse has come up.
"""

from collections.abc import Iterable, Iterator

from domain.build.choices import Polarity
from domain.build.edits import Batch, Edit, EditRefused, Scalar, SetField, apply
from domain.build.grounding import as_new_wire, ground_of_device
from domain.build.records import Block, Build, Run
from domain.document.records import find, label
from domain.electrical import conductors
from domain.electrical.blocks import places_used
from domain.electrical.network import run_conductor
from domain.findings import Finding, Level
from domain.reference.planning import planned

PINNED = {
    "fuse-over-wire": ("fuse_a", "gauge"),
    "fuse-small": ("fuse_a", "fuse_family"),
    "isolator-fuse": ("fuse_a", "gauge"),
    "fuse-series": ("fuse_a", "fuse_family"),
    "fuse-slow": ("fuse_a", "gauge"),
    "fuse-breaking": ("fuse_family", "fuse_a"),
    "shared-short": ("fuse_a", "gauge"),
    "ground-overload": ("gauge",),
    "wire-overloaded": ("gauge",),
    "wire-undersized": ("strands",),
    "terminal": ("gauge",),
    "ground-thin": ("gauge",),
    "drop": ("gauge",),
    "bundle-low": ("bundle",),
}
"""Fields of a run that, given back to the engine, may mend a finding."""

REPLACED = (
    *("fuse-over-wire", "fuse-slow", "shared-short", "ground-overload", "gauge-unknown"),
    "wire-overloaded",
)
"""Findings that go when a run that is in the vehicle already is laid anew, and then bought."""

SIDE_BY_SIDE = (
    *("fuse-over-wire", "wire-overloaded", "fuse-small", "drop", "ground-thin", "ground-overload"),
)
"""Findings that may go when a run is more wires side by side."""

MOST_WIRES = 4
"""More wires than this are not proposed."""

LAID_APART = ("fuse-over-wire", "wire-overloaded", "loom-unprotected", "loom-heat")
"""Findings that may go when the run does not lie with others."""


def mend(build: Build, finding: Finding) -> Edit | None:
    """The edit that takes a finding away, or ``None`` if none is known."""
    record = find(build, finding.id)
    if isinstance(record, Block):
        if finding.code == "charger-ground" and (edits := ground_of_device(build, record.id)):
            return Batch(edits=edits, label=f"a ground wire for {label(build, record.id)}")
        return _more_places(build, record) if finding.code == "block-full" else None
    if not isinstance(record, Run):
        if finding.table in ("parts", "panels", "holes", "footprints", "studs", "mounts"):
            from domain.fabrication.mending import mend as mend_part

            return mend_part(build, finding)
        return None
    edits = tuple(_edits(build, record, finding))
    if not edits:
        return None
    from domain.evaluate import evaluate

    known = evaluate(build).findings
    swept = not _among(finding, known)  # told by the third proof of protection alone
    known = evaluate(build, swept=True).findings if swept else known
    most = _serious(known) - (finding.level is not Level.NOTE)
    for edit in edits:
        try:
            after, _ = apply(build, edit)
        except EditRefused:
            continue
        found = evaluate(after, swept=swept).findings
        if not _among(finding, found) and _serious(found) <= most:
            return edit
    return None


def _among(finding: Finding, findings: Iterable[Finding]) -> bool:
    return any((f.code, f.id) == (finding.code, finding.id) for f in findings)


def _more_places(build: Build, block: Block) -> Edit:
    """A block with a place for every wire on it; they are sold with even numbers of places."""
    wires = places_used(build, block)
    places = wires + wires % 2
    edit = SetField(table="blocks", id=block.id, field="places", value=places)
    return Batch(edits=(edit,), label=f"a block with {places} places")


def _serious(findings: tuple[Finding, ...]) -> int:
    return sum(finding.level is not Level.NOTE for finding in findings)


def _edits(build: Build, run: Run, finding: Finding) -> Iterator[Edit]:
    """What may mend a finding of a run, the gentlest first."""
    for field in PINNED.get(finding.code, ()):
        if getattr(run, field) is not None and not (run.existing and field == "gauge"):
            words = field.removesuffix("_a").replace("_", " ")
            yield _set(run.id, field, None, f"leave the {words} to be chosen")
    if finding.code == "no-fuse":
        yield _set(run.id, "fused", True, "put a fuse at its near end")
        yield _set(run.id, "far_fused", True, "put a fuse at its far end")
        both = tuple(
            SetField(table="runs", id=run.id, field=field, value=True)
            for field in ("fused", "far_fused")
        )
        yield Batch(edits=both, label="put a fuse at both ends")
    if finding.code == "fuse-far" and finding.field in ("fuse_distance_m", "far_fuse_distance_m"):
        nearer = planned("assumed_fuse_m")
        yield _set(run.id, finding.field, nearer, "move the fuse up to the battery")
    if finding.code == "fused-ground":
        yield _set(run.id, "fused", False, "take the fuse out of the ground")
    if run.loom and finding.code in LAID_APART:
        yield _set(run.id, "loom", "", "lay it apart from its harness")
    if run.existing and finding.code in REPLACED:
        fresh = as_new_wire(run)
        yield Batch(edits=fresh, label="replace it with new wire")
        if run.polarity is Polarity.POSITIVE and run.target.startswith("b") and not run.far_fused:
            fuse: dict[str, Scalar] = {
                "far_fused": True,
                "far_fuse_distance_m": planned("assumed_fuse_m"),
            }
            edits = (*fresh, *_fields(run.id, fuse))
            yield Batch(edits=edits, label="replace it with new wire, fused at the battery")
        for count in range(2, MOST_WIRES + 1 if run.polarity is Polarity.GROUND else 0):
            edits = (*fresh, SetField(table="runs", id=run.id, field="count", value=count))
            yield Batch(edits=edits, label=f"replace it with {count} new wires side by side")
    if finding.code == "drop":
        yield from _wider_terminals(build, run)
    if finding.code in SIDE_BY_SIDE and not run.existing:
        yield from _more_wires(build, run)


def _more_wires(build: Build, run: Run) -> Iterator[Edit]:
    """More wires side by side, with as many in the ground of the load that they feed.

    Where they feed each other a short from either end each has a fuse at both: so three or more
    do, and two between batteries.
    """
    ground = _ground_of(build, run)
    for count in range(run.count + 1, MOST_WIRES + 1):
        values: dict[str, Scalar] = {"count": count}
        values |= {f: None for f in ("gauge", "fuse_a") if getattr(run, f) is not None}
        also: dict[str, Scalar] = {"count": count} if ground and ground.count < count else {}
        if ground and also and ground.gauge is not None:
            also["gauge"] = None
        at_both: dict[str, Scalar] = {f: True for f in FUSES if not getattr(run, f)}
        ways = ({}, at_both) if count == 2 and at_both else (at_both,)
        if run.polarity is Polarity.GROUND:
            ways = ({},)
        for fuses in ways:
            edits = _fields(run.id, values | fuses)
            edits += _fields(ground.id, also) if ground else []
            said = ", in its ground too" if also else ""
            said += ", each with a fuse at both ends" if fuses else ""
            yield Batch(edits=tuple(edits), label=f"lay {count} wires side by side{said}")


FUSES = ("fused", "far_fused")


def _ground_of(build: Build, run: Run) -> Run | None:
    """The one ground of the load that a run feeds, where it is left to the shop to lay."""
    own = [
        r
        for r in build.runs
        if r.polarity is Polarity.GROUND and r.source == run.target and run.target[:1] in LOADS
    ]
    return own[0] if len(own) == 1 and run.polarity is Polarity.POSITIVE else None


LOADS = ("a", "v")
"""First letters of the ids of loads."""


def _wider_terminals(build: Build, run: Run) -> Iterator[Edit]:
    """A block that takes the next sizes up, where it is the block that holds a run back."""
    stock = conductors.stock(build.header.wire_sizes)
    for device, limit in run_conductor.terminal_limits(build, run).items():
        if not device.startswith("d"):
            continue
        side = "largest_in" if device == run.target else "largest_out"
        wider = [g for g in stock if not conductors.fits(g, limit)]
        for gauge in wider[:2]:
            edit = SetField(table="blocks", id=device, field=side, value=gauge)
            shown = gauge.removeprefix("AWG ")
            yield Batch(edits=(edit,), label=f"a block that takes {shown}")


def _fields(run: str, values: dict[str, Scalar]) -> list[Edit]:
    return [
        SetField(table="runs", id=run, field=field, value=value) for field, value in values.items()
    ]


def _set(run: str, field: str, value: Scalar, label: str) -> Batch:
    edit = SetField(table="runs", id=run, field=field, value=value)
    return Batch(edits=(edit,), label=label)
