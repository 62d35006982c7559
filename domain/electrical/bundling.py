"""Which runs lie in one loom: the more loaded conductors lie together, the less each carries."""

from collections import Counter
from collections.abc import Sequence

from domain.build.records import Run


def loom_id(run: Run) -> str:
    """What names a run's loom: its word without spaces at the ends, in small letters; or ""."""
    return run.loom.strip().casefold()


def conductors_in(runs: Sequence[Run]) -> dict[str, int]:
    """Run id -> how many conductors lie in its loom, itself too, for runs that share one.

    Every wire of a build carries current, feed or return, new or existing: all of them warm it.
    """
    together: Counter[str] = Counter()
    for run in runs:
        together[loom_id(run)] += run.count
    return {run.id: together[loom_id(run)] for run in runs if loom_id(run)}
