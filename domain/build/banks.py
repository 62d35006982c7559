"""Battery banks: batteries of one kind side by side on one block, each on leads of its own.

What they share goes by resistance, so that their leads want one gauge and one length.
"""

from collections.abc import Iterator

from domain.build.choices import BlockKind, Polarity
from domain.build.records import Battery, Build, Run


def banks(build: Build) -> Iterator[tuple[Battery, ...]]:
    """The banks of a build, each with two batteries at least; the starter battery is in none."""
    blocks = {b.id for b in build.blocks if b.kind is BlockKind.DISTRIBUTION}
    found: dict[tuple[str, str], list[Battery]] = {}
    for battery in build.batteries[1:]:
        at = next((end for end, _ in _ends(build, battery.id, Polarity.POSITIVE, blocks)), "")
        if at:
            found.setdefault((at, battery.chemistry.value), []).append(battery)
    yield from (tuple(batteries) for batteries in found.values() if len(batteries) > 1)


def leads(build: Build) -> Iterator[tuple[Run, ...]]:
    """The leads of banks that want to be alike: those on the positive side, those on the ground.

    On each side only the leads that end at one place.
    """
    for batteries in banks(build):
        for polarity in Polarity:
            at: dict[str, list[Run]] = {}
            for battery in batteries:
                for end, run in _ends(build, battery.id, polarity, None):
                    at.setdefault(end, []).append(run)
            yield from (tuple(runs) for runs in at.values() if len(runs) > 1)


def beside(build: Build, run: Run) -> tuple[Run, ...]:
    """The other leads that a lead of a bank wants to be alike with; none for another run."""
    for runs in leads(build):
        if run.id in {each.id for each in runs}:
            return tuple(each for each in runs if each.id != run.id)
    return ()


def _ends(
    build: Build, battery: str, polarity: Polarity, among: set[str] | None
) -> Iterator[tuple[str, Run]]:
    """What a battery's runs of one side lead to straight, and those runs."""
    for run in build.runs:
        if run.polarity is polarity and battery in (run.source, run.target):
            end = run.target if run.source == battery else run.source
            if among is None or end in among:
                yield end, run
