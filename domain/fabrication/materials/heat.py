"""How warm a custom part gets where it is mounted."""

from domain.build.records import Zone
from domain.reference.planning import planned

_BAY_WORDS = ("engine", "bonnet", "under hood", "underhood")


def soaked_c(zone: Zone | None) -> float:
    """The warmest [C] that a part gets in a zone, which it must stand with its load on.

    A wire is warmest while the music plays; a bracket still carries its load when the engine has
    been switched off and its bay soaks. A zone that is called an engine bay therefore counts with
    at least its hot soak, any other as it was entered. Without a zone the part counts as in a
    closed vehicle in the sun. Planning values, from memory.
    """
    if zone is None:
        return planned("part_no_zone_c")
    if soaks(zone):
        return max(zone.ambient_c, planned("part_engine_bay_c"))
    return zone.ambient_c


def soaks(zone: Zone) -> bool:
    """Whether a zone is an engine bay, by its name."""
    return any(word in zone.name.casefold() for word in _BAY_WORDS)
