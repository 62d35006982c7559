"""The power side as a tree from the sources on: the one layout of the wiring diagram.

On paper and on the screen it is drawn from the same rows; so are the leads that switch.
"""

from collections.abc import Collection, Iterator

from msgspec import Struct, field

from domain.build.choices import BlockKind, LeadKind, LoadKind, Polarity, shown
from domain.build.record_kinds.lead_records import Lead
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
from domain.sheet import Sheet
from domain.topics.tables import Subject

DRAWN_ALREADY = "drawn above"
"""Said of a device that a second way leads to."""


class Limb(Struct):
    """A device with the run that leads to it and what hangs on it; ``again``: drawn before."""

    device: str
    run: str = ""
    ground: bool = False
    again: bool = False
    below: list["Limb"] = field(default_factory=list)


class Row(Struct, frozen=True):
    """A limb in its row; for each level whether positive and ground runs are still to come."""

    limb: Limb
    more: tuple[tuple[bool, bool], ...]
    feeder: str = ""
    """The device that it hangs on."""
    behind: tuple[str, ...] = ()
    """Devices, where they are drawn first, and runs behind a row that is folded."""


def wiring_rows(build: Build, folded: Collection[str] = ()) -> list[Row]:
    """Every device and run of a build, row by row; what lies behind ``folded`` devices is not."""
    return [row for root in forest(build) for row in rows_of(root, folded)]


def to_fold(build: Build, most: int) -> frozenset[str]:
    """The blocks to fold so that a drawing has at most so many rows, or as few as folding gives.

    Blocks with nothing but amplifiers behind them are folded first, then those that feed them.
    """
    roots = forest(build)
    folded: set[str] = set()
    while sum(1 for root in roots for _ in rows_of(root, folded)) > most:
        depth = {
            row.limb.device: len(row.more)
            for root in roots
            for row in rows_of(root, folded)
            if foldable(row.limb) and row.limb.device not in folded
        }
        if not depth:
            break
        deepest = max(depth.values())
        folded |= {device for device, level in depth.items() if level == deepest}
    return frozenset(folded)


def foldable(limb: Limb) -> bool:
    """Whether a limb is one that folds: a block with more behind it than its own ground."""
    return limb.device.startswith("d") and any(not each.ground for each in limb.below)


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


def rows_of(root: Limb, folded: Collection[str] = ()) -> Iterator[Row]:
    """A tree row by row, from its root down."""
    stack: list[tuple[Limb, tuple[tuple[bool, bool], ...], str]] = [(root, (), "")]
    while stack:
        node, more, feeder = stack.pop()
        if node.device in folded and node.below:
            yield Row(node, more, feeder, tuple(_behind(node)))
            continue
        yield Row(node, more, feeder)
        children = []
        for i, child in enumerate(node.below):
            later = node.below[i + 1 :]
            flags = (
                any(not each.ground for each in later),
                any(each.ground for each in later),
            )
            children.append((child, (*more, flags), node.device))
        stack += reversed(children)


def _behind(limb: Limb) -> Iterator[str]:
    stack = list(limb.below)
    while stack:
        node = stack.pop()
        yield node.run
        if node.device and not node.again and not node.device.startswith("e"):
            yield node.device
        stack += node.below


RELAY = ".relay"
"""Behind the id of an output: its relay as a device of the drawing."""


def lead_forest(build: Build, sheet: Sheet) -> list[Limb]:
    """The switching leads as a tree: each output, its relay where it has one, what hangs on it.

    Leads of no output come last, each a root of its own without a device ahead. A lead that ends
    at no device stands by its own id.
    """
    relays = {remote.id for remote in sheet.remotes if remote.relay}
    leads = [lead for lead in build.leads if lead.kind is LeadKind.REMOTE]
    drawn: set[str] = set()
    roots = []
    for remote in build.remotes:
        root = top = Limb(remote.id)
        if remote.id in relays:
            top = Limb(remote.id + RELAY, remote.id)
            root.below.append(top)
        top.below += _handed_on(leads, remote.id, drawn)
        roots.append(root)
    for lead in leads:
        if lead.id not in drawn:
            drawn.add(lead.id)
            roots.append(_of_lead(leads, lead, drawn))
    return roots


def _handed_on(leads: list[Lead], source: str, drawn: set[str]) -> Iterator[Limb]:
    for lead in leads:
        if lead.source == source and lead.id not in drawn:
            drawn.add(lead.id)
            yield _of_lead(leads, lead, drawn)


def _of_lead(leads: list[Lead], lead: Lead, drawn: set[str]) -> Limb:
    limb = Limb(lead.target or lead.id, lead.id)
    if lead.target:
        limb.below += _handed_on(leads, lead.target, drawn)
    return limb


def leads_of(root: Limb) -> tuple[str, ...]:
    """Ids of the leads of a tree of ``lead_forest``, in the order drawn."""
    return tuple(row.limb.run for row in rows_of(root) if row.limb.run.startswith("w"))


def size(subject: Subject, device: Appliance) -> str:
    """How large a load is: its power, of a capacitor its farads where they are known."""
    if device.kind is LoadKind.CAPACITOR:
        farads = device.capacitance_f
        return "" if farads is None else subject.show("capacitance", farads)
    return subject.show("power", device.power_w)


def about(subject: Subject, device: object) -> str:
    """What a device is, in a few words."""
    if isinstance(device, Battery):
        return f"{shown(device.chemistry)}, {subject.show('capacity', device.capacity_ah)}"
    if isinstance(device, Alternator):
        stated = "hot" if device.hot else "as stated" if device.hot is None else "on the plate"
        return f"alternator, {subject.show('current', device.rated_a)} {stated}"
    if isinstance(device, Amplifier):
        load = subject.sheet.load(device.id)
        return f"amplifier, {subject.show('power', load.rated_w if load else None)} rated"
    if isinstance(device, Appliance):
        stated = size(subject, device)
        return f"{device.kind.value}, {stated}" if stated else device.kind.value
    if isinstance(device, Block):
        if device.kind is BlockKind.ISOLATOR:
            return device.kind.value
        return f"{device.kind.value}, {device.places} output{'' if device.places == 1 else 's'}"
    if isinstance(device, GroundPoint):
        stud = f", {device.stud} stud" if device.stud else ""
        return f"{device.surface.value}{stud}"
    return "no device at this end"
