"""What is drawn where alternators feed: loads there, and what DC-DC chargers take for all behind.

A charger gives its battery charge and the loads behind it their current, up to its rating; at its
input it takes that at its charging voltage over its efficiency.
"""

from collections.abc import Mapping

from msgspec import Struct

from domain.build.records import Build
from domain.electrical import sources
from domain.electrical.network.converters import Converter, converters, is_converter
from domain.electrical.network.wiring import Wiring, joined_nodes
from domain.reference.planning import planned


class Drawn(Struct, frozen=True):
    """Currents on the side of the alternators, at the design voltage [A].

    ``straight_a`` by loads with no charger between, ``behind_a`` by those behind one (they are fed
    through it), ``chargers_a`` at the inputs of chargers. ``given_a`` is what each charger gives at
    its output, by id, ``inside`` the batteries behind one.
    """

    straight_a: float
    behind_a: float
    chargers_a: float
    given_a: Mapping[str, float]
    inside: frozenset[str]

    @property
    def amperes(self) -> float:
        """All of it."""
        return self.straight_a + self.chargers_a


def drawn(
    build: Build, joined: Wiring, load_a: Mapping[str, float], charging: bool = True
) -> Drawn:
    """What is drawn beside the vehicle's own load, with these currents of loads [A], by id.

    ``charging``: batteries behind chargers take what they take at the most for good; else they are
    full, and a charger feeds the loads behind it alone.
    """
    sides = _sides(build, joined)
    behind = {id for side, _ in sides for id in load_a if f"{id}_pos" in side}
    inside = frozenset(
        b.id for b in build.batteries if any(f"{b.id}_pos" in side for side, _ in sides)
    )
    given: dict[str, float] = {}
    inputs: dict[str, float] = {}
    for side, chargers in _from_the_last(sides):
        wanted = sum(a for id, a in load_a.items() if f"{id}_pos" in side)
        wanted += sum(a for id, a in inputs.items() if f"{id}_in" in side)
        if charging:
            wanted += sum(
                sources.greatest_charge_a(b) for b in build.batteries if f"{b.id}_pos" in side
            )
        for each in chargers:
            given[each.id] = min(wanted, each.limit_a)
            inputs[each.id] = each.takes_a(given[each.id], planned("design_v"))
            wanted -= given[each.id]
    first = [id for id in inputs if not any(f"{id}_in" in side for side, _ in sides)]
    return Drawn(
        straight_a=sum(a for id, a in load_a.items() if id not in behind),
        behind_a=sum(a for id, a in load_a.items() if id in behind),
        chargers_a=sum(inputs[id] for id in first),
        given_a=given,
        inside=inside,
    )


_Side = tuple[frozenset[str], list[Converter]]


def _sides(build: Build, joined: Wiring) -> list[_Side]:
    """What lies behind chargers, with the chargers that feed it, in the order of the chargers.

    A side that an alternator feeds too, or that a charger's own input is on, is behind none.
    """
    found: dict[frozenset[str], list[Converter]] = {}
    alternators = {f"{g.id}_pos" for g in build.alternators if g.id not in joined.idle}
    for each in converters(build):
        side = joined_nodes(
            *(build, joined, (f"{each.id}_out",)),
            through=lambda isolator: not is_converter(isolator),
        )
        if f"{each.id}_in" not in side and not alternators & side:
            found.setdefault(side, []).append(each)
    return list(found.items())


def _from_the_last(sides: list[_Side]) -> list[_Side]:
    """Sides in an order in which one comes after those that are fed from it."""
    left, ordered = list(sides), list[_Side]()
    while left:
        free = [
            here
            for here in left
            if not any(f"{c.id}_in" in here[0] for other in left for c in other[1])
        ]
        ordered += free or left[:1]  # chargers in a ring: any order
        left = [each for each in left if each not in ordered]
    return ordered
