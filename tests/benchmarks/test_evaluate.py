"""What one evaluation costs at three sizes of build; a different build each time, as in use."""

# The fixture of pytest-benchmark is not fully typed.
# mypy: disable-error-code="no-untyped-call"

import dataclasses
from collections.abc import Callable
from itertools import count
from statistics import median

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from domain.build.records import Build
from domain.evaluate import evaluate
from domain.fabrication.parts import fabricate
from domain.sheet import Sheet
from tests.benchmarks.builds import large_part, sixty_four, three, twelve, with_main_length
from tests.benchmarks.conftest import Note

_MEDIANS_MS: dict[int, float] = {}


def _all_of_it(build: Build) -> Sheet:
    """The sheet of a build, with what is only worked out when it is looked at."""
    sheet = evaluate(build)
    return dataclasses.replace(sheet, designs=sheet.designs, materials=sheet.materials)


@pytest.mark.benchmark(group="evaluate")
@pytest.mark.parametrize(
    ("amplifiers", "make", "rounds"), [(3, three, 200), (12, twelve, 100), (64, sixty_four, 30)]
)
def test_evaluate(
    benchmark: BenchmarkFixture,
    note: Note,
    amplifiers: int,
    make: Callable[[], Build],
    rounds: int,
) -> None:
    build = make()
    turns = count()

    def edited() -> tuple[tuple[Build], dict[str, object]]:
        return (with_main_length(build, 3.0 + 0.01 * next(turns)),), {}

    warm = 0 if benchmark.disabled else 3
    sheet = benchmark.pedantic(_all_of_it, setup=edited, rounds=rounds, warmup_rounds=warm)
    # Count: every amplifier and every run that was put in is in the sheet, and has figures.
    assert len(sheet.amplifiers) == len(build.amplifiers) == amplifiers
    assert len(sheet.runs) == len(build.runs) >= 2 * amplifiers
    assert all(state.converged and not state.collapsed for state in sheet.states)
    assert sheet.designs
    assert sheet.materials
    if benchmark.disabled or benchmark.stats is None:
        return
    _MEDIANS_MS[amplifiers] = ours = median(benchmark.stats.stats.data) * 1e3
    smallest = _MEDIANS_MS.get(3, ours)
    benchmark.extra_info["ratio to 3 amplifiers"] = ours / smallest
    runs = f"{len(build.runs)} runs"
    note(
        f"evaluate, {amplifiers} amplifiers, {runs}",
        f"{ours:.2f} ms",
        f"3 amplifiers: {smallest:.2f} ms",
        f"{ours / smallest:.2f}",
    )


@pytest.mark.benchmark(group="part")
def test_a_large_part(benchmark: BenchmarkFixture) -> None:
    turns = count()

    def moved() -> tuple[tuple[Build], dict[str, object]]:
        return (large_part(next(turns)),), {}

    results, _ = benchmark.pedantic(fabricate, setup=moved, rounds=30)
    # Count: all that was put in is there.
    (part,) = results
    assert len(part.holes) == 204
    assert part.bends == 7
    assert part.strength is not None
    assert len(part.strength.screws) == 6
