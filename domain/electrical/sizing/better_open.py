"""Runs that no gauge there is thick enough for in the bill's tube, but one is in the open.

What is laid in the open follows from the answer with everything as the rule has it. It is seen
as soon as the first fuses stand, so that such a build is not sized to the end twice; an answer
that was begun so is taken only if in the end just those runs are found to need it.
"""

from collections.abc import Collection, Iterable, Mapping
from math import inf
from typing import NamedTuple

from msgspec.structs import replace

from domain.build.choices import Cover
from domain.electrical import fuses
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.protection.bounds import Bounds, shop_m
from domain.electrical.protection.overload import ROUNDING
from domain.electrical.protection.proofs import Proof, Verdict
from domain.electrical.sizing.sized import Sized

CLEARLY = 1.03
"""A fuse that must carry this many times what a smaller one is rated for stays as large."""


class Laid(NamedTuple):
    """What lies round each run; ``watched``: sizing stops when one is seen to be better open."""

    of: Mapping[str, Cover]
    watched: bool = False

    def opened(self, runs: Iterable[str]) -> "Laid":
        """The same with these runs in the open."""
        return Laid({**self.of, **dict.fromkeys(runs, Cover.OPEN)})


class TooNarrow(Exception):
    """Stops sizing: these runs carry too little in tube, whatever their gauge."""

    def __init__(self, runs: frozenset[str]) -> None:
        super().__init__(", ".join(sorted(runs)))
        self.runs = runs


def stop_if_narrow(items: Mapping[str, Conductor], sized: Sized, bounds: Bounds) -> None:
    """Raise ``TooNarrow`` if some run's fuses let through more than it ever carries in tube.

    Not where a fuse is close to a smaller one, which may do in the end.
    """
    found = set()
    for id, item in items.items():
        if not _left_in_tube(item):
            continue
        need = bounds.need(id)
        if need.carries_a <= item.ampacity_a(item.fixed or item.allowed[-1]):
            continue
        if not all(_stays(items, sized, each) for each in need.limits):
            continue
        tube_a, open_a = _most_a(item)
        for segment in bounds.net.of_run.get(id, ()):
            lasting, bare_m = bounds.flows.lasting(segment), bounds.bare_m(segment)
            if _only_open(tube_a, open_a, lasting.amperes, lasting.through_a, bare_m):
                found.add(id)
    if found:
        raise TooNarrow(frozenset(found))


def _stays(items: Mapping[str, Conductor], sized: Sized, limit: str) -> bool:
    """Whether what limits a run is no fuse, or one that a smaller one will not do for."""
    if limit not in sized.least_a or items[limit].run.fuse_a is not None:
        return True
    smaller = [a for a in fuses.ratings(sized.family[limit]) if a < sized.fuse_a[limit]]
    return not smaller or smaller[-1] * CLEARLY < sized.least_a[limit]


def better_open(proofs: Iterable[Proof], items: Mapping[str, Conductor]) -> frozenset[str]:
    """Runs that would carry what comes in only in the open; of those left to the engine."""
    found = set()
    for proof in proofs:
        item = items[proof.segment.run]
        if _left_in_tube(item) and proof.verdict in (Verdict.OVERLOAD, Verdict.LONG_TAIL):
            tube_a, open_a = _most_a(item)
            if tube_a < _lets_in(proof.lasting_a, proof.through_a) <= open_a:
                found.add(item.run.id)
    return frozenset(found)


def rightly_open(
    opened: Collection[str], proofs: Iterable[Proof], items: Mapping[str, Conductor]
) -> bool:
    """Whether these runs, laid in the open, and no others are what ``better_open`` would find."""
    found = {
        proof.segment.run
        for proof in proofs
        if proof.segment.run in opened
        and _only_open(
            *_most_a(items[proof.segment.run]), proof.lasting_a, proof.through_a, proof.bare_m
        )
    }
    return found == set(opened) and not better_open(proofs, items)


def _left_in_tube(item: Conductor) -> bool:
    run = item.run
    return run.cover is None and not run.existing and item.cover is Cover.TUBE


def _most_a(item: Conductor) -> tuple[float, float]:
    """What the thickest wire that a run may be carries in tube, and in the open [A]."""
    thickest = item.fixed or item.allowed[-1]
    return (
        replace(item, cover=Cover.TUBE).ampacity_a(thickest),
        replace(item, cover=Cover.OPEN).ampacity_a(thickest),
    )


def _only_open(
    tube_a: float, open_a: float, lasting_a: float, through_a: float, bare_m: float
) -> bool:
    """Whether a segment is protected, as wire goes that carries so much in tube, in the open only.

    ``lasting_a`` comes into it, ``through_a`` passes, ``bare_m`` lie ahead of its fuse. A long
    piece without a limit is no matter of the tube.
    """
    short = bare_m <= shop_m()
    if lasting_a == inf if not short else through_a <= tube_a * (1 + ROUNDING):
        return False
    return tube_a < _lets_in(lasting_a, through_a) <= open_a


def _lets_in(lasting_a: float, through_a: float) -> float:
    """What a segment must carry [A]: what comes in for good, or all that passes its fuse."""
    return through_a if lasting_a == inf else lasting_a
