"""The house side: the battery that an isolator parts from the starter battery, and what it feeds.

What draws current while the vehicle stands belongs there, so that the engine still starts.
"""

from domain.build.choices import BlockKind, Polarity
from domain.build.records import Battery, Build


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
