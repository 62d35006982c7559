"""Which fuse guards which wire, seen from every battery that can feed it.

A fuse guards wire, not gear: from each battery post the wiring is walked outwards, and each
run is guarded by the smallest fuse that lies between it and that battery. Where several ways
lead to a place, the one with the largest fuse counts; a run that can be fed from both ends must
be guarded from both. That fuses side by side add up is said by the check of loops.
"""

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass
from math import inf

from domain.build.choices import BlockKind, Polarity
from domain.build.records import Build, Run
from domain.electrical.network.wiring import Wiring
from domain.reference.planning import planned


@dataclass(frozen=True, slots=True)
class Guard:
    """How a run is guarded against all batteries that reach it.

    ``rating_a`` is the largest fuse that stands between some battery and this run's wire
    (infinite where none does), ``by`` the run whose fuse that is and ``ahead`` the run of the
    next fuse nearer to the battery ("" where there is none), ``unprotected_m`` the wire ahead
    of the first fuse [m].
    """

    rating_a: float
    by: str
    ahead: str
    unprotected_m: float


_Fuse = tuple[float, str]
"""The smallest fuse passed so far: its rating [A] and the run it is in."""

_NONE: _Fuse = (inf, "")


def fuse_distance_m(run: Run, far: bool = False) -> float:
    """Wire from the run's near (or far) end to its fuse there [m], assumed where not placed."""
    given = run.far_fuse_distance_m if far else run.fuse_distance_m
    return planned("assumed_fuse_m") if given is None else given


def guards(
    build: Build, wiring: Wiring, wire_m: Mapping[str, float], fuse_a: Mapping[str, float]
) -> dict[str, Guard]:
    """Run id -> how it is guarded, for every positive run that a battery reaches.

    ``wire_m`` are wire lengths, ``fuse_a`` the ratings of the fused runs.
    """
    at: dict[str, list[tuple[Run, str, bool]]] = {}
    for run in build.runs:
        if run.polarity is Polarity.POSITIVE and run.id in wiring.ends:
            near, far = wiring.ends[run.id]
            at.setdefault(near, []).append((run, far, True))
            at.setdefault(far, []).append((run, near, False))
    passes: dict[str, str] = {}
    for block in build.blocks:
        if block.kind is BlockKind.ISOLATOR:
            passes[f"{block.id}_in"] = f"{block.id}_out"
            passes[f"{block.id}_out"] = f"{block.id}_in"
    result: dict[str, Guard] = {}
    for battery in build.batteries:
        _walk(f"{battery.id}_pos", at, passes, wire_m, fuse_a, result)
    return result


def _walk(
    start: str,
    at: Mapping[str, list[tuple[Run, str, bool]]],
    passes: Mapping[str, str],
    wire_m: Mapping[str, float],
    fuse_a: Mapping[str, float],
    result: dict[str, Guard],
) -> None:
    best: dict[str, _Fuse] = {start: _NONE}
    queue = deque([start])
    while queue:
        node = queue.popleft()
        fuse = best[node]
        reached = [(passes[node], fuse)] if node in passes else []
        for run, other, from_near in at.get(node, []):
            (rating, by), unprotected, beyond = _pass(run, from_near, fuse, wire_m, fuse_a)
            ahead = fuse[1] if by != fuse[1] else ""
            old = result.get(run.id)
            if old:
                unprotected = max(unprotected, old.unprotected_m)
                if old.rating_a >= rating:
                    rating, by, ahead = old.rating_a, old.by, old.ahead
            result[run.id] = Guard(rating, by, ahead, unprotected)
            reached.append((other, beyond))
        for other, beyond in reached:
            if other not in best or beyond[0] > best[other][0]:
                best[other] = beyond
                queue.append(other)


def _pass(
    run: Run,
    from_near: bool,
    fuse: _Fuse,
    wire_m: Mapping[str, float],
    fuse_a: Mapping[str, float],
) -> tuple[_Fuse, float, _Fuse]:
    """What guards this run's wire, how much of it nothing guards, and what guards beyond it."""
    own = (fuse_a.get(run.id, inf), run.id)
    here = run.fused if from_near else run.far_fused
    there = run.far_fused if from_near else run.fused
    smaller = own if own[0] <= fuse[0] else fuse
    beyond = smaller if here or there else fuse
    if here:
        ahead = min(fuse_distance_m(run, far=not from_near), wire_m[run.id])
        return smaller, ahead if fuse == _NONE else 0.0, beyond
    if fuse != _NONE:
        return fuse, 0.0, beyond
    behind = min(fuse_distance_m(run, far=from_near), wire_m[run.id]) if there else 0.0
    return _NONE, wire_m[run.id] - behind, beyond
