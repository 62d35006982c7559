"""The harness as a tree of sections: where it branches, and how far that is from where it begins.

It begins where the first battery stands. The section with the most wires goes straight on at each
place, the others branch off. A section that closes a ring is drawn too: its far end is there again.
"""

from collections.abc import Iterator

from msgspec import Struct

from domain.build.records import Build
from domain.cable.section_results import SectionResult, section_results
from domain.sheet import Sheet


class Branch(Struct, frozen=True):
    """One section in the tree.

    ``near`` and ``far`` are ids of its places, ``start_m`` how far its near end is from the
    beginning. ``line`` counts the straight lines of the drawing from the top, ``off`` is the line
    that it branches off, its own where it goes straight on. ``more`` says of each step of its depth
    whether a branch follows there. ``again``: its far end is drawn elsewhere.
    """

    section: SectionResult
    near: str
    far: str
    start_m: float
    line: int
    off: int
    more: tuple[bool, ...]
    again: bool

    @property
    def end_m(self) -> float:
        """How far its far end is from the beginning [m]."""
        return self.start_m + self.section.length_m


def harness_tree(build: Build, sheet: Sheet) -> tuple[Branch, ...]:
    """The sections that a run takes, each once, from the beginning outwards.

    Pieces that nothing joins follow one another, each from a beginning of its own.
    """
    ends = {each.id: (each.from_place, each.to_place) for each in build.sections}
    taken = [each for each in section_results(build, sheet.runs) if each.runs]
    left = {each.id: each for each in taken}
    begins = [battery.place for battery in build.batteries if battery.place]
    begins += [place for each in taken for place in ends[each.id]]
    found: list[Branch] = []
    seen: set[str] = set()
    lines = 0
    for place in begins:
        if any(place in ends[id] for id in left):
            seen.add(place)
            found += _from(place, 0.0, lines, (), left, ends, seen, _Lines(lines + 1))
            lines = max(branch.line for branch in found) + 1
    return tuple(found)


class _Lines(Struct):
    """The next line of the drawing that is free."""

    free: int

    def take(self) -> int:
        self.free += 1
        return self.free - 1


def _from(
    place: str,
    start_m: float,
    line: int,
    more: tuple[bool, ...],
    left: dict[str, SectionResult],
    ends: dict[str, tuple[str, str]],
    seen: set[str],
    lines: _Lines,
) -> Iterator[Branch]:
    """The branches from a place on; takes them out of ``left``."""
    first = True
    while here := [each for each in left.values() if place in ends[each.id]]:
        section = max(here, key=lambda each: each.wires)
        del left[section.id]
        one, other = ends[section.id]
        far = other if one == place else one
        again = far in seen
        seen.add(far)
        own = line if first else lines.take()
        # Whether another follows is known once what is behind this one is drawn.
        behind = (
            []
            if again
            else list(
                _from(far, start_m + section.length_m, own, (*more, True), left, ends, seen, lines)
            )
        )
        follows = any(place in ends[each.id] for each in left.values())
        step = len(more)
        yield Branch(section, place, far, start_m, own, line, (*more, follows), again)
        for branch in behind:
            told = (*branch.more[:step], follows, *branch.more[step + 1 :])
            yield Branch(
                *(branch.section, branch.near, branch.far, branch.start_m),
                *(branch.line, branch.off, told, branch.again),
            )
        first = False
