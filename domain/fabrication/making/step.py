"""One step of making a part, and the words that several of them share."""

from collections.abc import Iterable

from msgspec import Struct

from domain.fabrication.materials.shop_practice import Speeds


class Step(Struct, frozen=True):
    """One step of making a part.

    ``size`` names the drill, tap or cutter; ``speed`` is advice; ``caution`` what hurts people
    or the work. Any of the three may be empty.
    """

    order: int
    what: str
    tool: str
    size: str = ""
    speed: str = ""
    caution: str = ""


Row = tuple[str, str, str, str, str]
"""What, tool, size, speed, caution."""

BATTERY_OFF = (
    "battery negative off before you work near its wiring; wait as the vehicle maker says before "
    "working near airbags or their wiring"
)


def drill_speed(cut: Speeds, diameter_m: float) -> str:
    """Speed of a drill of a diameter [m], as it is said in a step."""
    return f"about {cut.drill_rpm(diameter_m)} per minute"


def listed(names: Iterable[str]) -> str:
    """The first twelve names, and how many more there are."""
    found = list(names)
    return ", ".join(found[:12]) + (f" and {len(found) - 12} more" if len(found) > 12 else "")
