"""The house side: the battery that an isolator parts from the starter battery, and by what.

What draws current while the vehicle stands belongs there, so that the engine still starts.
"""

from domain.build.choices import BlockKind, Isolates, Polarity
from domain.build.edits import Batch, Edit, Scalar, SetField
from domain.build.records import Battery, Block, Build
from domain.document.records import label
from domain.units.show import format_quantity


def house_battery(build: Build) -> Battery | None:
    """The first battery behind an isolator from the starter battery; ``None`` without one."""
    isolators = {b.id for b in build.blocks if b.kind is BlockKind.ISOLATOR}
    for battery in build.batteries[1:]:
        here = joined(build, battery.id)
        if build.batteries[0].id not in here and isolators & _beside(build, here):
            return battery
    return None


def joined(build: Build, device: str) -> frozenset[str]:
    """The devices that positive runs join to one, itself too, not through an isolator."""
    isolators = {b.id for b in build.blocks if b.kind is BlockKind.ISOLATOR}
    found, ahead = {device}, [device]
    while ahead:
        here = ahead.pop()
        for other in _beside(build, frozenset({here})) - found - isolators:
            found.add(other)
            ahead.append(other)
    return frozenset(found)


def _beside(build: Build, devices: frozenset[str]) -> set[str]:
    """What positive runs lead to from these devices."""
    runs = [r for r in build.runs if r.polarity is Polarity.POSITIVE and r.source and r.target]
    return {r.target for r in runs if r.source in devices} | {
        r.source for r in runs if r.target in devices
    }


OF_ITS_LABEL = ("rated_a", "peak_a")
"""Fields of an isolator that say what its label says: another kind of isolator has another."""


def isolated_by(block: Block, kind: Scalar) -> Edit:
    """The edit that makes an isolator one of this kind.

    A DC-DC charger in the place of a relay, or a relay in the place of one, is another device: what
    was entered from the old one's label is of it no longer. A charger of a relay's 140 A would
    silently ask for wires and fuses of that.
    """
    set_kind = SetField(table="blocks", id=block.id, field="isolates", value=kind)
    if (kind == Isolates.CONVERTER) == (block.isolates is Isolates.CONVERTER):
        return set_kind
    gone = [field for field in OF_ITS_LABEL if getattr(block, field) is not None]
    if not gone:
        return set_kind
    emptied = [SetField(table="blocks", id=block.id, field=field, value=None) for field in gone]
    name = block.name or block.id
    return Batch(edits=(set_kind, *emptied), label=f"Isolates by of {name}, its rating with it")


def rating_lost(before: Build, after: Build) -> str:
    """What to say of a rating that went with the kind of an isolator; else ""."""
    was = {block.id: block for block in before.blocks}
    for block in after.blocks:
        old = was.get(block.id)
        if old is None or old.isolates == block.isolates:
            continue
        if old.rated_a is not None and block.rated_a is None:
            shown = format_quantity("current", old.rated_a, after.header.units)
            now = "charger" if block.isolates is Isolates.CONVERTER else "isolator"
            return (
                f"{label(after, block.id)}: its {shown} went with the old isolator: enter under "
                f"Rated what the {now}'s own label says"
            )
    return ""
