"""How the list of builds shows how many findings forbid a build, on the screen and in print."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from storage.store.read import BuildSummary

NOT_KNOWN = "?"
"""Stands in the list where nobody has worked the build out as it is now."""

LEGEND = (
    ("a number", "so many findings say STOP: what is planned must not be built like that"),
    (NOT_KNOWN, "not worked out yet: opening the build does it, or `mainrun check`"),
)
"""What stands under Stops, and what it means."""


def shown_stops(build: "BuildSummary") -> str:
    """The findings that forbid a build, as counted when it was last worked out."""
    return NOT_KNOWN if build.stops is None else str(build.stops)
