"""Does an amplifier sit where it lasts?"""

from collections.abc import Iterator

from domain.checks.context import Context
from domain.findings import Finding, Level
from domain.reference.planning import planned

PRACTICE = "common practice: amplifiers want a dry place below some 60 C (from memory)"


def findings(c: Context) -> Iterator[Finding]:
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
