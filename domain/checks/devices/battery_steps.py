"""Steps of the work order that batteries ask for: mounted, matched before they are joined, told."""

from collections.abc import Iterator

from domain.build.choices import Chemistry
from domain.build.records import Battery, Build, Run
from domain.checks.cautions import LIFTING
from domain.document.records import find, label
from domain.electrical.network.charge_reach import side_by_side
from domain.electrical.network.wiring import joined_nodes, wiring
from domain.reference.planning import planned
from domain.units.show import format_quantity


def mounted(build: Build) -> Iterator[str]:
    """Further batteries are put in and held."""
    crash = f"{planned('crash_ratio'):g} times its weight, as in a crash"
    for battery in build.batteries[1:]:
        yield (
            f"Mount {label(build, battery.id)}: strapped down to stay put under {crash}, posts "
            f"covered, vented if it gasses. {LIFTING}"
        )


def matched(build: Build) -> Iterator[str]:
    """Batteries that wire joins for good are brought to one voltage before that."""
    for batteries in side_by_side(build, wiring(build)):
        named = [label(build, battery.id) for battery in batteries]
        names = f"{', '.join(named[:-1])} and {named[-1]}"
        if all(battery.chemistry is Chemistry.LIFEPO4 for battery in batteries):
            yield (
                f"{names}: charge each full by itself, as their voltage hardly tells how full they "
                f"are; then all within {planned('match_v_LiFePO4'):g} V of each other before the "
                "first fuse between them."
            )
        else:
            yield (
                f"{names}: all within {planned('match_v_lead'):g} V of each other before the first "
                "fuse between them; charge the lowest by itself first."
            )


def joins_two(build: Build, run: Run, end: str) -> bool:
    """Whether the fuse of a run at a battery joins it to another, by what else is laid there."""
    joined = wiring(build)
    if run.id not in joined.ends or not isinstance(find(build, end), Battery):
        return False
    other = joined.ends[run.id][1 if end == run.source else 0]
    nodes = joined_nodes(
        *(build, joined, (other,), lambda each: each.id != run.id),
        through=lambda isolator: False,
    )
    return any(f"{b.id}_pos" in nodes for b in build.batteries if b.id != end)


def told(build: Build) -> Iterator[str]:
    """What the customer is told of batteries."""
    for battery in build.batteries:
        if battery.charge_coldest_c is not None:
            cold = format_quantity("temperature", battery.charge_coldest_c, build.header.units)
            yield (
                f"{label(build, battery.id)} is not charged below {cold}: tell the customer, and "
                "see in its data sheet that its own protection refuses it."
            )
