"""What may be added at a device of the power side: in words, and the edit that brings it."""

from collections.abc import Callable, Iterator

from domain.build import actions, run_ends
from domain.build.edits import Batch, Edit, Scalar
from domain.build.kits import HOUSEHOLD, KITS, Kit, inverter
from domain.build.records import Build, table_of
from domain.document.records import label

Making = Callable[[Build], Edit]
"""Makes the edit on the build as it then is; ``EditRefused`` where it cannot be."""

_LISTED = ("battery_behind_relay", "battery_behind_charger", "battery_bank", "capacitor")
"""Kits that are offered beside the single devices."""


def additions(build: Build, device: str = "", plus: bool = True) -> Iterator[tuple[str, Making]]:
    """What may be added behind a device, or anywhere; ``plus``: at its positive side."""
    here = device if device and plus and table_of(device) in ("blocks", "batteries") else ""
    behind = ", fed from here" if here else ""
    yield f"an amplifier{behind}", lambda build: fed_from(build, "amplifiers", here)
    for kit in HOUSEHOLD:
        name = kit.title.lower()
        one = "" if name.endswith("s") else "an" if name.startswith("other") else "a "
        yield f"{one}{name}{behind}", _household(kit, here)
    yield f"an inverter{behind}", lambda build: _inverter(build, here)
    yield f"a block{behind}", lambda build: _block(build, here)
    yield "a battery", lambda build: actions.add(build, "batteries")
    yield "an alternator", lambda build: actions.add(build, "alternators")
    yield "a ground point", lambda build: actions.add(build, "grounds")
    for ground in build.grounds if device and plus else ():
        if device != ground.id:
            yield f"a ground wire from here to {label(build, ground.id)}", _wire(device, ground.id)
    for kit in KITS:
        if kit.id in _LISTED:
            yield f"a {kit.title[:1].lower()}{kit.title[1:]}", kit.make


def fed_from(build: Build, table: str, device: str, **values: Scalar) -> Batch:
    """Add a device with its wires, and hang it on this one, if on any."""
    return _hung(build, actions.add(build, table, **values), table, device)


def _household(kit: Kit, device: str) -> Making:
    return lambda build: _hung(build, kit.make(build), "appliances", device)


def _inverter(build: Build, device: str) -> Batch:
    return _hung(build, inverter(build), "appliances", device)


def _hung(build: Build, edit: Batch, table: str, device: str) -> Batch:
    if not device:
        return edit
    after = actions.applied(build, edit)
    id = _new(build, after, table)
    feed = next((run for run in after.runs if run.target == id), None)
    if feed is not None and feed.source == device:
        return edit
    hung: Edit = (
        run_ends.add_run(after, device, id, fused=True)
        if feed is None
        else run_ends.feed_from(after, feed.id, device)
    )
    return Batch(edits=(edit, hung), label=edit.label)


def _block(build: Build, device: str) -> Batch:
    edit = actions.add(build, "blocks")
    if not device:
        return edit
    after = actions.applied(build, edit)
    wire = run_ends.add_run(after, device, _new(build, after, "blocks"), fused=True)
    return Batch(edits=(edit, wire), label="add a block with its feed")


def _wire(device: str, ground: str) -> Making:
    return lambda build: run_ends.add_run(build, device, ground)


def _new(before: Build, after: Build, table: str) -> str:
    """The id of the record that came to a table."""
    had = {record.id for record in getattr(before, table)}
    return str(next(each.id for each in getattr(after, table) if each.id not in had))
