"""Wires that lie side by side between the same points: a run of several, or runs drawn alike.

They share a current by resistance. When the fuse of one opens, the others carry all of it, as the
load asks for it still.
"""

from collections.abc import Mapping
from math import inf

from domain.build.choices import Polarity
from domain.build.records import Build, Run
from domain.electrical.network.wiring import Wiring


def side_by_side(build: Build, wiring: Wiring) -> tuple[tuple[Run, ...], ...]:
    """Laid runs by the points that they join, those of them that are more than one wire."""
    found: dict[tuple[Polarity, frozenset[str]], list[Run]] = {}
    for run in build.runs:
        if run.id in wiring.ends:
            between = frozenset(wiring.ends[run.id])
            found.setdefault((run.polarity, between), []).append(run)
    return tuple(tuple(runs) for runs in found.values() if sum(run.count for run in runs) > 1)


def one_open_a(
    runs: tuple[Run, ...], carried_a: Mapping[str, float], run_ohm: Mapping[str, float]
) -> dict[str, float]:
    """What one wire of each run carries when that wire beside it is gone which took the most [A].

    ``carried_a`` and ``run_ohm`` are current and resistance of each run, its wires together. The
    whole current stays and divides among the wires left as their conductances do (Kirchhoff).
    """
    total = sum(abs(carried_a[run.id]) for run in runs)
    each = {run.id: 1 / (run.count * max(run_ohm[run.id], 1e-12)) for run in runs}
    wires = [(run.id, each[run.id]) for run in runs for _ in range(run.count)]
    together = sum(siemens for _, siemens in wires)
    found = {}
    for run in runs:
        others = list(wires)
        others.remove((run.id, each[run.id]))
        left = together - max(siemens for _, siemens in others)
        found[run.id] = total * each[run.id] / left if left > 0 else inf
    return found
