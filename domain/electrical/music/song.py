"""A piece of music on a build: its average over rated power, and its hardest second.

What the amplifiers draw in the hardest second, and in the two before it, is followed through the
network of the kick drum, from rest at the average of the music; typical values of all that is not
known. ``domain.electrical.transient.study`` has the spread.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from domain.electrical.charging import live_alternators, live_batteries
from domain.electrical.music.bands import ChannelSet, channel_sets
from domain.electrical.music.draw import HARDEST_S, LEAD_S, average_level, drawn
from domain.electrical.transient import networks
from domain.electrical.transient.integrate import Cancelled, Trace, integrate
from domain.electrical.transient.parts import Drawn as DrawnPart
from domain.electrical.transient.remedies import remedies
from domain.electrical.transient.unknowns import typical

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from domain.electrical.music.draw import Drawn
    from domain.electrical.music.levels import Levels
    from domain.electrical.sizing.size_and_solve import SolvedNetwork
    from domain.electrical.transient.groups import Array
    from domain.electrical.transient.networks import KickNetwork

NETWORKS_SHARE = 0.4
"""Share of the work that goes into the networks at rest."""


class SetLevel(Struct, frozen=True):
    """What one set of channels plays: crest factor [dB], average over rated power."""

    channels: ChannelSet
    crest_db: float
    average: float


class Swing(Struct, frozen=True):
    """Between what a voltage swings in the hardest second [V]."""

    lowest_v: float
    highest_v: float

    @property
    def dip_v(self) -> float:
        """The swing [V]."""
        return self.highest_v - self.lowest_v


class Followed(Struct, frozen=True):
    """The hardest second with the engine in one condition and one thing tried.

    ``carried`` is false where no voltages fit: the network cannot carry it.
    """

    engine: str
    remedy: str
    carried: bool
    lamps: Swing
    amplifier: Swing


class SongStudy(Struct, frozen=True):
    """A piece of music on a build.

    ``crest_db`` is that of the recording; ``average`` that of all sets over rated power, by their
    power. ``amplifier`` is the one that falls lowest; "" where no battery feeds one. ``hardest_s``
    is where the hardest second begins.
    """

    seconds: float
    crest_db: float
    crossover_hz: float
    sets: tuple[SetLevel, ...]
    average: float
    hardest_s: float
    amplifier: str
    followed: tuple[Followed, ...]


def song_study(
    solved: SolvedNetwork,
    levels: Levels,
    crossover_hz: float,
    progress: Callable[[float], bool] | None = None,
) -> SongStudy:
    """The study of a piece of music whose levels were measured at this crossover.

    ``progress`` is called with the share done, 0 to 1; when it returns false,
    ``domain.electrical.transient.integrate.Cancelled`` is raised.
    """
    build = solved.wired.build
    sets = channel_sets(build)
    told = tuple(
        SetLevel(each, levels.of(each.band).crest_db, levels.of(each.band).average) for each in sets
    )
    taken = drawn(solved, levels)
    at = taken.hardest() if taken.watts else 0
    first, followed = "", tuple[Followed, ...]()
    if taken.watts and live_batteries(build):
        first, followed = _followed(solved, taken, at, progress)
    return SongStudy(
        levels.seconds,
        levels.whole.crest_db,
        crossover_hz,
        told,
        average_level(sets, levels),
        at * levels.slice_s,
        first,
        followed,
    )


class _Passage(Struct, frozen=True):
    """Levels of the loads [moment, load] in steps of ``slice_s`` [s]."""

    slice_s: float
    levels: Array

    def level(self, time_s: float) -> Array:
        place = time_s / self.slice_s
        before = min(int(place), len(self.levels) - 2)
        share = place - before
        found: Array = (1 - share) * self.levels[before] + share * self.levels[before + 1]
        return found


def _passage(network: KickNetwork, taken: Drawn, begin: int, end: int) -> _Passage:
    """The levels of a network's loads from slice to slice."""
    import numpy as np

    ports = [port for port in network.ports(typical()) if isinstance(port.part, DrawnPart)]
    levels = np.zeros((end - begin, len(ports)))
    for column, port in enumerate(ports):
        if port.name in taken.watts:
            watts = taken.watts[port.name]
            levels[:, column] = (watts[begin:end] - watts.mean()) / taken.full_w[port.name]
    return _Passage(taken.slice_s, levels)


def _followed(
    solved: SolvedNetwork,
    taken: Drawn,
    at: int,
    progress: Callable[[float], bool] | None,
) -> tuple[str, tuple[Followed, ...]]:
    """The amplifier that falls lowest, and all conditions and remedies."""
    build, played = solved.wired.build, taken.loads(solved)
    engines = ("idle", "cruise", "off") if live_alternators(build) else ("off",)
    pairs = [
        (engine, remedy.id, networks.kick_network(solved, engine, remedy, played))
        for engine in engines
        for remedy in remedies(build)
        if engine != "off" or remedy.id != "alternator"
    ]
    cases = []
    for number, (_, _, network) in enumerate(pairs):
        if progress and not progress(NETWORKS_SHARE * number / len(pairs)):
            raise Cancelled
        cases.append(networks.cases(solved, network, [typical()])[0])
    count = len(next(iter(taken.watts.values())))
    begin = max(at - round(LEAD_S / taken.slice_s), 0)
    end = min(at + round(HARDEST_S / taken.slice_s) + 1, count)
    known = [number for number, case in enumerate(cases) if case is not None]
    if end - begin < 2 or not known:
        return "", ()
    passage = _passage(pairs[0][2], taken, begin, end)
    times = [number * taken.slice_s for number in range(end - begin)]

    def report(share: float) -> bool:
        return progress is None or progress(NETWORKS_SHARE + (1 - NETWORKS_SHARE) * share)

    trace = integrate([each for each in cases if each is not None], passage, times, report)
    ports = {port.name: number for number, port in enumerate(pairs[0][2].ports(typical()))}
    first = _lowest(trace, ports, list(played))
    nothing = Swing(0.0, 0.0)
    found = []
    for number, (engine, remedy, _) in enumerate(pairs):
        row = known.index(number) if number in known else None
        carried = row is not None and row not in trace.failed
        lamps, amplifier = nothing, nothing
        if row is not None and carried:
            lamps, amplifier = (
                _swing(trace, row, ports[name], at - begin) for name in (networks.LAMPS, first)
            )
        found.append(Followed(engine, remedy, carried, lamps, amplifier))
    return first, tuple(found)


def _lowest(trace: Trace, ports: dict[str, int], amplifiers: Sequence[str]) -> str:
    """The amplifier that falls lowest in the first case that the network carries."""
    row = next((row for row in range(trace.volts.shape[1]) if row not in trace.failed), 0)
    return min(amplifiers, key=lambda id: float(trace.volts[:, row, ports[id]].min()))


def _swing(trace: Trace, row: int, port: int, begin: int) -> Swing:
    volts = trace.volts[begin:, row, port]
    return Swing(float(volts.min()), float(volts.max()))
