"""Does an amplifier sit where it lasts, and is its power known?"""

from collections.abc import Iterator

from domain.checks.context import Context
from domain.electrical.loads import rated_w
from domain.findings import Finding, Level
from domain.reference.planning import planned

PRACTICE = "common practice: amplifiers want a dry place below some 60 C (from memory)"


def findings(c: Context) -> Iterator[Finding]:
    """What is amiss with an amplifier by itself."""
    yield from _powerless(c)
    yield from _too_warm(c)


def _powerless(c: Context) -> Iterator[Finding]:
    """Amplifiers of 0 W: the plan takes them for nearly nothing."""
    for amplifier in c.build.amplifiers:
        if rated_w(amplifier):
            continue
        yield Finding(
            Level.FIX,
            "amplifier-power",
            f"{c.name(amplifier.id)} has no power entered",
            "it counts with 0 W and what it draws without a signal, and its wire, its fuse and "
            "what feeds them are chosen for no more",
            "enter its rated power, as 4x75, or take it out",
            "by definition: amplifiers play with power",
            "amplifiers",
            amplifier.id,
            "channel_w",
        )


def _too_warm(c: Context) -> Iterator[Finding]:
    """Amplifiers in a location as warm as an engine bay, whatever it is called."""
    zones = {zone.id: zone for zone in c.build.zones}
    most_c = planned("amplifier_air_c")
    for amplifier in c.build.amplifiers:
        zone = zones.get(amplifier.zone)
        if zone is None or zone.ambient_c < most_c:
            continue
        yield Finding(
            Level.FIX,
            "amplifier-place",
            f"{c.name(amplifier.id)} sits where it is {c.show('temperature', zone.ambient_c)}",
            f"so warm is {c.name(zone.id)}, as engine bays are; an amplifier cools into "
            f"the air round it, and from some {c.show('temperature', most_c)} on it shuts down or "
            "ages fast; where it is so warm, water and dirt mostly come too",
            "a dry place inside, with air round it; or enter how warm it gets there, if less",
            PRACTICE,
            "amplifiers",
            amplifier.id,
            "zone",
        )
