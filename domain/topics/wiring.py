"""The power side as a tree from the sources on: the one layout of the wiring diagram.

On paper and on the screen it is drawn from the same rows.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

from domain.build.choices import BlockKind, Polarity
from domain.build.records import (
    Alternator,
    Amplifier,
    Appliance,
    Battery,
    Block,
    Build,
    GroundPoint,
    Run,
)
from domain.topics.tables import Subject

DRAWN_ALREADY = "drawn above"
"""Said of a device that a second way leads to."""


@dataclass(slots=True)
class Limb:
    """A device with the run that leads to it and what hangs on it; ``again``: drawn before."""

    device: str
    run: str = ""
    ground: bool = False
    again: bool = False
    below: list["Limb"] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Row:
    """A limb in its row; for each level whether positive and ground runs are still to come."""

    limb: Limb
    more: tuple[tuple[bool, bool], ...]


def wiring_rows(build: Build) -> list[Row]:
    """Every device and run of a build, row by row."""
    return [row for root in forest(build) for row in rows_of(root)]


def forest(build: Build) -> list[Limb]:
    """Every device and run once, from the batteries on; ground points stand at each of their runs.

    Ground runs are followed from source to target alone: the other way they would lead from one
    amplifier to the next through the body.
    """
    order = (
        *build.batteries,
        *build.alternators,
        *build.blocks,
        *build.amplifiers,
        *build.appliances,
        *build.grounds,
    )
    runs: dict[str, list[Run]] = {}
    for run in build.runs:
        runs.setdefault(run.source, []).append(run)
        if run.polarity is Polarity.POSITIVE and run.target != run.source:
            runs.setdefault(run.target, []).append(run)
    for own in runs.values():
        own.sort(key=lambda run: run.polarity is Polarity.GROUND)
    seen_devices: set[str] = set()
    seen_runs: set[str] = set()
    roots: list[Limb] = []
    sources = {run.source for run in build.runs}
    starts = [device.id for device in order if device.id in sources or device.id[0] in "bg"]
    starts += [device.id for device in order if device.id not in starts]
    for start in [*starts, ""]:
        fresh = any(run.id not in seen_runs for run in runs.get(start, ()))
        if (start in seen_devices or not start) and not fresh:
            continue
        root = Limb(start, again=start in seen_devices and bool(start))
        roots.append(root)
        stack = [root]
        while stack:
            node = stack.pop()
            if node.device in seen_devices and node is not root:
                node.again = not node.device.startswith("e")
                continue
            seen_devices.add(node.device)
            for run in runs.get(node.device, ()):
                if run.id in seen_runs:
                    continue
                seen_runs.add(run.id)
                other = run.target if run.source == node.device else run.source
                ground = run.polarity is Polarity.GROUND
                node.below.append(Limb(other, run.id, ground))
            stack += [child for child in reversed(node.below) if child.device]
    return roots


def rows_of(root: Limb) -> Iterator[Row]:
    """A tree row by row, from its root down."""
    stack: list[tuple[Limb, tuple[tuple[bool, bool], ...]]] = [(root, ())]
    while stack:
        node, more = stack.pop()
        yield Row(node, more)
        children = []
        for i, child in enumerate(node.below):
            later = node.below[i + 1 :]
            flags = (
                any(not each.ground for each in later),
                any(each.ground for each in later),
            )
            children.append((child, (*more, flags)))
        stack += reversed(children)


def about(subject: Subject, device: object) -> str:
    """What a device is, in a few words."""
    if isinstance(device, Battery):
        return f"{device.chemistry.value}, {subject.show('capacity', device.capacity_ah)}"
    if isinstance(device, Alternator):
        stated = "hot" if device.hot else "as stated" if device.hot is None else "on the plate"
        return f"alternator, {subject.show('current', device.rated_a)} {stated}"
    if isinstance(device, Amplifier):
        load = subject.sheet.amplifier(device.id)
        return f"amplifier, {subject.show('power', load.rated_w if load else None)} rated"
    if isinstance(device, Appliance):
        return f"{device.kind.value}, {subject.show('power', device.power_w)}"
    if isinstance(device, Block):
        if device.kind is BlockKind.ISOLATOR:
            return device.kind.value
        return f"{device.kind.value}, {device.places} place{'' if device.places == 1 else 's'}"
    if isinstance(device, GroundPoint):
        stud = f", {device.stud} stud" if device.stud else ""
        return f"{device.surface.value}{stud}"
    return "no device at this end"
