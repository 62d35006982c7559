"""Which fuse guards which wire, seen from every battery that can feed it.

A fuse guards wire, not gear: from each battery post the wiring is walked outwards, and each
run is guarded by the smallest fuse that lies between it and that battery. A run between two
batteries is fed from both ends and must be guarded from both.
"""

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass
from math import inf

from domain.build import BlockKind, Build, Polarity, Run
from domain.electrical.planning import planned
from domain.electrical.wiring import Wiring


@dataclass(frozen=True, slots=True)
class Guard:
    """How a run is guarded against all batteries that reach it.

    ``rating_a`` is the largest fuse that stands between some battery and this run's wire
    (infinite where none does), ``unprotected_m`` the wire ahead of the first fuse [m].
    """

    rating_a: float
    unprotected_m: float


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
    best = {start: inf}
    queue = deque([(start, inf)])
    walked: set[tuple[str, bool]] = set()
    while queue:
        node, rating = queue.popleft()
        through = passes.get(node)
        if through and through not in best:
            best[through] = rating
            queue.append((through, rating))
        for run, other, from_near in at.get(node, []):
            if (run.id, from_near) in walked or (run.id, not from_near) in walked:
                continue
            walked.add((run.id, from_near))
            body, unprotected, beyond = _pass(run, from_near, rating, wire_m, fuse_a)
            old = result.get(run.id)
            result[run.id] = Guard(
                max(body, old.rating_a if old else 0.0),
                max(unprotected, old.unprotected_m if old else 0.0),
            )
            if other not in best:
                best[other] = beyond
                queue.append((other, beyond))


def _pass(
    run: Run,
    from_near: bool,
    rating: float,
    wire_m: Mapping[str, float],
    fuse_a: Mapping[str, float],
) -> tuple[float, float, float]:
    """What guards this run's wire, how much of it nothing guards, and what guards beyond it."""
    own = fuse_a.get(run.id, inf)
    here = run.fused if from_near else run.far_fused
    there = run.far_fused if from_near else run.fused
    beyond = min(rating, own) if here or there else rating
    if here:
        ahead = min(fuse_distance_m(run, far=not from_near), wire_m[run.id])
        return min(rating, own), ahead if rating == inf else 0.0, beyond
    if rating < inf:
        return rating, 0.0, beyond
    behind = min(fuse_distance_m(run, far=from_near), wire_m[run.id]) if there else 0.0
    return inf, wire_m[run.id] - behind, beyond
