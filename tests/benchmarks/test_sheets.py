"""What laying out forty parts costs: quick, as at every edit, and in full."""

# The fixture of pytest-benchmark is not fully typed.
# mypy: disable-error-code="no-untyped-call"

from random import Random
from statistics import median

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from domain.build.choices import UnitHabit
from domain.fabrication.materials.sheet_materials import Material, material
from domain.fabrication.materials.stock import sheet_sizes
from domain.fabrication.nesting.blanks import Blank, Nest
from domain.fabrication.nesting.sheet_layout import nest
from tests.benchmarks.conftest import Note

LIMITS_MS = {True: 10.0, False: 2000.0}
"""What the screen leaves for it: an edit's share, and the wait for a full layout."""


def forty() -> list[Blank]:
    """Forty different blanks [m], 79 to cut."""
    chance = Random(44)
    return [
        Blank(f"p{i}", chance.uniform(0.05, 0.5), chance.uniform(0.05, 0.8), 1 + i % 3)
        for i in range(40)
    ]


@pytest.mark.benchmark(group="sheets")
@pytest.mark.parametrize("quick", [True, False])
@pytest.mark.parametrize("straight", [True, False])
def test_forty_parts(benchmark: BenchmarkFixture, note: Note, quick: bool, straight: bool) -> None:
    abs_sheet = material("ABS")
    assert isinstance(abs_sheet, Material)
    sizes, blanks = sheet_sizes(abs_sheet, UnitHabit.INCH), forty()
    told: list[int] = []

    def laid() -> Nest:
        return nest(
            blanks, sizes, straight_cuts=straight, quick=quick, progress=lambda n, _: told.append(n)
        )

    found = benchmark.pedantic(laid, rounds=20 if quick else 5)
    # Count: every blank is cut, and the bar was moved all the way.
    assert sum(len(sheet.blanks) for sheet in found.sheets) == sum(b.quantity for b in blanks)
    assert len(told) >= 4
    if benchmark.disabled or benchmark.stats is None:
        return
    ours = median(benchmark.stats.stats.data) * 1e3
    way = f"{'quick' if quick else 'full'} layout, {'saw' if straight else 'router'}"
    limit = LIMITS_MS[quick]
    note(f"40 parts, {way}", f"{ours:.1f} ms", f"limit {limit:.0f} ms", f"{ours / limit:.2f}")
