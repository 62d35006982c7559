"""One size thinner where the solved network says that it does.

The search for the least copper takes currents as they stand. Where they find more than one way,
where two answers call for each other, or where a fuse was taken back once the wires stood, its
answer may keep a size that nothing needs any more.
"""

from collections.abc import Callable, Iterator, Mapping
from math import inf
from typing import NamedTuple

from msgspec import Struct

from domain.build.choices import Polarity
from domain.electrical import conductors
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.sizing.design_state import DesignState
from domain.electrical.sizing.sized import Sized, drops, inside_limit, note_least

SURELY = 0.8
"""Share of current times added resistance that a thinner wire on a tree drops for certain: loads
draw the same or more at less voltage, and those that draw less do so by a few per cent."""


class Kept(NamedTuple):
    """Why a run is kept as thick as it is; ``fuse``: thinner, a fuse would have to go up."""

    why: str
    fuse: bool = False


class Thinning(Struct, frozen=True):
    """What may get thinner, and what then has to hold.

    ``least`` gives each run the thinnest gauge that may be tried. ``short_in_rings`` says which
    ground runs in rings are too thin, and for what [A]; ``tree`` that current has one way only on
    both sides.
    """

    state: DesignState
    least: Mapping[str, str]
    short_in_rings: Callable[[], dict[str, float]]
    tree: bool

    def thin(self) -> bool:
        """Take runs down one size at a time until none can; whether one was."""
        state, sized = self.state, self.state.sized
        taken, thinned, bound = False, True, self._short()
        while thinned:
            thinned = False
            for id in sorted(self.least, key=lambda id: -state.items[id].wire_m):
                gauge = self._thinner(id)
                if gauge is None or not self._suits(id, gauge):
                    continue
                before = sized.copy()
                sized.gauge[id] = gauge
                state.solve_tone()
                note_least(state.items, sized)
                kept = self._kept_for(bound, id)
                if kept is None or (kept.fuse and self._traded(id, before, bound)):
                    thinned = taken = True
                    continue
                sized.restore(before)
                if sized.why[id].startswith("carries"):  # what it once was chosen for
                    sized.why[id] = kept.why
        return taken

    def _traded(self, id: str, before: Sized, bound: Mapping[str, float]) -> bool:
        """Whether a ground one size thicker keeps the smaller fuse of a run that got thinner.

        For less copper than the run saves: what is lost less in the ground the loads draw less.
        """
        items, sized = self.state.items, self.state.sized
        saved = items[id].conductor_kg(before.gauge[id]) - items[id].conductor_kg(sized.gauge[id])
        for other in sorted(self.least):
            item = items[other]
            ground = item.run.polarity is Polarity.GROUND and not item.fixed
            if not ground or not self._users(other) & self._users(id):
                continue
            at = item.allowed.index(sized.gauge[other]) + 1
            thicker = item.allowed[min(at, len(item.allowed) - 1)]
            more = item.conductor_kg(thicker) - item.conductor_kg(sized.gauge[other])
            if not 0 < more < saved:
                continue
            tried = sized.copy()
            sized.gauge[other] = thicker
            self.state.solve_tone()
            note_least(items, sized)
            if self._kept_for(bound, id) is None:
                sized.why[other] = f"keeps {sized.fuse_a.get(id, 0.0):g} A enough in its line"
                return True
            sized.restore(tried)
        return False

    def _thinner(self, id: str) -> str | None:
        """The next thinner gauge that a run may be tried in."""
        item = self.state.items[id]
        if item.fixed:
            return None
        at = item.allowed.index(self.state.sized.gauge[id])
        return item.allowed[at - 1] if at > item.allowed.index(self.least[id]) else None

    def _suits(self, id: str, gauge: str) -> bool:
        """Whether a gauge keeps what needs no solving.

        No run behind it is thicker, a ground is as thick as its power run, and no amplifier is
        over its drop for certain.
        """
        items, sized, wiring = self.state.items, self.state.sized, self.state.wiring
        if any(a in sized.over_v for a in self._users(id)):
            return False  # it is over as little as it can be
        area = items[id].section_mm2(gauge)
        for a in wiring.feeds.get(id, ()):
            way = wiring.feed[a].runs
            for behind in way[: way.index(id)] if id in way else ():
                if items[behind].section_mm2(sized.gauge[behind]) * conductors.SAME_SIZE > area:
                    return False
        item = items[id]
        if item.run.polarity is Polarity.GROUND and area < self._beside_mm2(id):
            return False
        return not self.tree or self._has_room(id, gauge)

    def _beside_mm2(self, id: str) -> float:
        """The least area of a ground: its power run's, where it has one of its own [mm2]."""
        items = self.state.items
        ends = items[id].run.source, items[id].run.target
        battery = next((end for end in ends if end.startswith("b")), "")
        if battery:
            beside = thickest_mm2(items, self.state.sized, battery)
        else:
            users = self.state.wiring.returns.get(id, ())
            branch = self.state.wiring.feed[users[0]].runs[:1] if len(users) == 1 else ()
            beside = max(
                (items[b].section_mm2(self.state.sized.gauge[b]) for b in branch), default=0.0
            )
        return beside * conductors.SAME_SIZE

    def _has_room(self, id: str, gauge: str) -> bool:
        item, sized = self.state.items[id], self.state.sized
        amperes = sized.design_a[id]
        fuse = sized.fuse_a.get(id)
        more = item.resistance_ohm(gauge, amperes, fuse) - item.resistance_ohm(
            sized.gauge[id], amperes, fuse
        )
        most = self.state.build.header.drop_limit_v * (1 + 1e-9) - SURELY * amperes * more
        return all(
            sum(drops(self.state.wiring, sized, a)) <= most
            for a in self._users(id)
            if self.state.wiring.feed[a].battery and self.state.wiring.ret[a].battery
        )

    def _users(self, id: str) -> set[str]:
        return {*self.state.wiring.feeds.get(id, ()), *self.state.wiring.returns.get(id, ())}

    def _kept_for(self, before: Mapping[str, float], thinned: str) -> Kept | None:
        """What a run that was thinned had better been kept for; ``None``: all is well without.

        Nothing is amiss with the run itself, and nothing more than before elsewhere.
        """
        sized = self.state.sized
        if not inside_limit(self.state.build, self.state.wiring, sized):
            return Kept(f"keeps the drop inside {self.state.build.header.drop_limit_v:g} V")
        worse = [
            id
            for id, short in self._short().items()
            if id == thinned or short > before.get(id, 0.0) * (1 + 1e-9)
        ]
        fuse_a = [sized.fuse_a[id] for id in worse if id in sized.fuse_a]
        if fuse_a:
            next_above = f"carries the next fuse above {min(fuse_a):g} A"
            return Kept(f"{next_above}, which it would need thinner", fuse=True)
        return Kept("thinner it would leave too much to others") if worse else None

    def _short(self) -> dict[str, float]:
        """What is amiss as sizes stand: amplifiers over their drop, runs that carry too little."""
        sized, limit = self.state.sized, self.state.build.header.drop_limit_v * (1 + 1e-9)
        over = [a for a in sized.over_v if sum(drops(self.state.wiring, sized, a)) > limit]
        found = dict.fromkeys((*over, *short_of(self.state.items, sized)), 1.0)
        return found | self.short_in_rings()


def thickest_mm2(items: Mapping[str, Conductor], sized: Sized, battery: str) -> float:
    """Area of the thickest new power run at a battery [mm2]; 0 where there is none."""
    return max(
        (
            item.section_mm2(sized.gauge[id])
            for id, item in items.items()
            if item.run.polarity is Polarity.POSITIVE
            and battery in (item.run.source, item.run.target)
            and not item.run.existing
        ),
        default=0.0,
    )


def short_of(items: Mapping[str, Conductor], sized: Sized) -> Iterator[str]:
    """Runs whose fuse or whose wire does not carry the currents as they stand now."""
    for id, least in sized.least_a.items():
        if sized.fuse_a[id] < least * (1 - 1e-9):
            yield id
    for id, item in items.items():
        carries = inf if item.fixed else item.ampacity_a(sized.gauge[id])
        if carries < sized.carries_a(item) * (1 - 1e-9):
            yield id
