"""The cheapest combination of a wide tree: many small sets, fed from few runs that all share.

Where the few sizes ahead are taken one after the other, each says how much room the sets behind
must leave, and each of these then only has one question to answer, not a whole front to make. A
thicker run leaves no less room and allows no thinner runs behind it: what is behind costs no more.
So sizes between two that have been looked at are passed over where even with what is behind the
thicker one they would cost more than the best that is known.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from domain.electrical.sizing.fronts import BITS, LEFT, NO_CAP, AmplifierSet, Fronts, Option, last
from domain.electrical.sizing.pairs import Pairs

WIDE = 3
"""From so many sets beside each other on it pays to ask from above: twelve amplifiers on three
blocks are planned with a tenth less work."""

MOST_ASKED = 24
"""A set that was asked so often has its front made."""

NONE = -1
"""No combination has the room; those there are are numbers above."""


class _Sizes(NamedTuple):
    """The options of a run with their places, by rank; ``even``: thicker, less drop, more cost."""

    options: list[tuple[int, Option]]
    even: bool

    @classmethod
    def of(cls, options: Sequence[Option]) -> "_Sizes":
        found = sorted(enumerate(options), key=lambda each: (each[1].rank, each[0]))
        even = all(a.drop >= b.drop and a.cost <= b.cost for (_, a), (_, b) in pairwise(found))
        return cls(found, even)


class _Twig:
    """One run with nothing behind it: of its sizes the cheapest that fits is all that counts."""

    def __init__(self, options: Sequence[Option], room: int) -> None:
        self._options, self._room = options, room
        self._by_cost: list[tuple[int, int, int, int]] = []
        if not isinstance(options, Pairs):
            each = enumerate(options)
            self._by_cost = sorted((o.cost, o.drop, o.rank, at) for at, o in each)

    def fitting(self, cap: int, room: int) -> tuple[int, int]:
        """The cheapest that leaves this room: a number as in a front, and its place.

        Of like ones that which leaves most, then the thinnest; ``NONE`` where there is none.
        """
        most = self._room - room
        found: tuple[int, int, int] | None
        if isinstance(self._options, Pairs):
            found = self._options.fitting(cap, most)
        else:
            each = (
                (cost, drop, at)
                for cost, drop, rank, at in self._by_cost
                if rank <= cap and drop <= most
            )
            found = next(each, None)
        if found is None:
            return NONE, 0
        cost, drop, at = found
        return ((self._room - drop) << BITS) + LEFT - cost, at


class FromAbove:
    """Questions to the sets of one tree, and what was answered."""

    def __init__(self, fronts: Fronts) -> None:
        self._fronts = fronts
        self._known: dict[tuple[AmplifierSet, int, int, int], tuple[int, int]] = {}
        self._asked: dict[tuple[AmplifierSet, int], int] = {}
        self._sizes: dict[str, _Sizes] = {}
        self._twigs: dict[AmplifierSet, _Twig] = {}

    def cheapest(self, top: AmplifierSet, index: dict[str, int]) -> bool:
        """Write run -> index of its size for an outermost set; whether anything passes."""
        if self._best(top, NO_CAP, 0, 0)[0] == NONE:
            return False
        self._read(top, NO_CAP, 0, 0, index)
        return True

    def _read(
        self, each: AmplifierSet, cap: int, at: int, room: int, index: dict[str, int]
    ) -> None:
        runs = self._fronts.runs[each]
        for run in runs[at:]:
            _, i = self._best(each, cap, at, room)
            option = self._fronts.options[run][i]
            index[run] = i
            cap, at, room = option.rank or cap, at + 1, room + option.drop
        for child in self._fronts.nested[each]:
            if self._fronts.is_twig(child):
                index[self._fronts.runs[child][0]] = self._twig(child).fitting(cap, room)[1]
            elif (child, cap, 0, room) in self._known:
                self._read(child, cap, 0, room, index)
            else:
                front = self._fronts.front(child, cap, 0)
                self._fronts.read(child, cap, front[last(front, room)], index)

    def _best(self, each: AmplifierSet, cap: int, at: int, room: int) -> tuple[int, int]:
        """The cheapest combination with this room, and the place of its size of the ``at``th run.

        A number as in a front; of like ones that which leaves most room, with the thinnest run.
        """
        asked = each, cap, at, room
        known = self._known.get(asked)
        if known is None:
            known = self._known[asked] = self._looked_for(each, cap, at, room)
        return known

    def _looked_for(self, each: AmplifierSet, cap: int, at: int, room: int) -> tuple[int, int]:
        runs = self._fronts.runs[each]
        sizes, even = self._sizes_of(runs[at])
        fitting = [size for size in sizes if size[1].rank <= cap]
        best, best_left, best_at = NONE, NONE, 0
        ends = at + 1 == len(runs)
        behind_left: dict[int, int] = {}

        def look(n: int) -> bool:
            """Look at a size; whether anything passes behind it."""
            nonlocal best, best_left, best_at
            _, option = fitting[n]
            under, needed = option.rank or cap, room + option.drop
            if ends:
                behind = self._behind(each, under, needed)
            else:
                behind = self._best(each, under, at + 1, needed)[0]
            if behind == NONE:
                return False
            behind_left[n] = behind & LEFT
            key = behind - (option.drop << BITS) - option.cost
            left = key & LEFT
            if (left, key, -n) > (best_left, best, -best_at):
                best, best_left, best_at = key, left, n
            return True

        if not even:
            for n in range(len(fitting)):
                look(n)
        elif fitting and look(len(fitting) - 1):
            look(0)
            waiting = [(0, len(fitting) - 1)]
            while waiting:
                thin, thick = waiting.pop()
                if thick - thin < 2 or (behind_left[thick] - fitting[thin + 1][1].cost < best_left):
                    continue
                middle = (thin + thick) // 2
                waiting.append((middle, thick))
                if look(middle):
                    waiting.append((thin, middle))
        return best, fitting[best_at][0] if fitting else 0

    def _sizes_of(self, run: str) -> _Sizes:
        found = self._sizes.get(run)
        if found is None:
            found = self._sizes[run] = _Sizes.of(self._fronts.options[run])
        return found

    def _behind(self, each: AmplifierSet, cap: int, room: int) -> int:
        """What all sets inside come to, each at its cheapest with this room."""
        fronts = self._fronts
        least: int | None = None
        left = LEFT
        for child in fronts.nested[each]:
            if fronts.is_twig(child):
                key, _ = self._twig(child).fitting(cap, room)
                if key == NONE:
                    return NONE
            elif self._to_ask(child, cap):
                key = self._best(child, cap, 0, room)[0]
                if key == NONE:
                    return NONE
            else:
                front = fronts.front(child, cap, 0)
                place = last(front, room)
                if place < 0:
                    return NONE
                key = front[place]
            left -= LEFT - (key & LEFT)
            here = key >> BITS
            if least is None or here < least:
                least = here
        return NONE if least is None else (least << BITS) + left

    def _twig(self, each: AmplifierSet) -> "_Twig":
        found = self._twigs.get(each)
        if found is None:
            options = self._fronts.options[self._fronts.runs[each][0]]
            found = self._twigs[each] = _Twig(options, self._fronts.room(each))
        return found

    def _to_ask(self, each: AmplifierSet, cap: int) -> bool:
        """Whether a set is to be asked, and does not make its front: all it feeds are twigs."""
        inside = self._fronts.nested[each]
        if len(self._fronts.runs[each]) != 1 or not inside:
            return False
        times = self._asked[each, cap] = self._asked.get((each, cap), 0) + 1
        return times <= MOST_ASKED and not any(self._fronts.nested[child] for child in inside)


def wide(fronts: Fronts, top: AmplifierSet) -> bool:
    """Whether an outermost set is better asked from above: wide, with some run ahead of all."""
    return len(fronts.nested[top]) >= WIDE and 0 < len(fronts.runs[top]) <= 3
