"""What is large: a pack for the bay, and an edit among five thousand holes."""

# The fixture of pytest-benchmark is not fully typed.
# mypy: disable-error-code="no-untyped-call"

from collections.abc import Callable
from itertools import count
from pathlib import Path
from statistics import median

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from demo_db.load import demo_builds
from domain.build.edits import SetField, apply
from domain.build.records import Build
from domain.evaluate import evaluate, make_plan
from domain.full_results import full_results
from storage.pack.pack import write_pack
from tests.benchmarks.builds import sixty_four, three
from tests.benchmarks.conftest import Note

PACK_LIMIT_MS, EDIT_LIMIT_MS = 3000.0, 300.0
"""How long one waits for a pack, and for an edit of a part that is mostly holes."""


def camper() -> Build:
    """The largest of the demo builds."""
    return dict(demo_builds())["camper_van"]


@pytest.mark.benchmark(group="pack")
@pytest.mark.parametrize("make", [camper, sixty_four])
def test_pack(
    benchmark: BenchmarkFixture, note: Note, tmp_path: Path, make: Callable[[], Build]
) -> None:
    plan = make_plan(make())
    found = full_results(plan)
    told: list[float] = []

    def go_on(done: float, _: str) -> bool:
        told.append(done)
        return True

    def written() -> list[Path]:
        return write_pack(plan, found, tmp_path, paper="letter", progress=go_on)

    paths = benchmark.pedantic(written, rounds=1 if benchmark.disabled else 5)
    # Count: the PDF with its data beside it, and a bar that moved.
    assert len(paths) >= 6
    assert len(set(told)) > 10
    if not benchmark.disabled and benchmark.stats is not None:
        told_ms(note, f"pack, {make.__name__}", benchmark, PACK_LIMIT_MS)


@pytest.mark.benchmark(group="evaluate")
def test_edit_among_five_thousand_holes(benchmark: BenchmarkFixture, note: Note) -> None:
    part = {"id": "p1", "load_kg": 1.0}
    panel = {"id": "n1", "part": "p1", "length_m": 0.8, "width_m": 1.4}
    holes = [
        {
            "id": f"h{i}",
            "panel": "n1",
            "x_m": 0.05 + 0.012 * (i % 100),
            "y_m": 0.05 + 0.012 * (i // 100),
        }
        for i in range(1, 5001)
    ]
    given = {**three().plain(), "parts": [part], "panels": [panel], "holes": holes}
    build = Build.of(given)
    turns = count()

    def edited() -> tuple[tuple[Build], dict[str, object]]:
        x_m = 0.0621 + 1e-5 * next(turns)
        edit = SetField(table="holes", id="h1", field="x_m", value=x_m)
        return (apply(build, edit)[0],), {}

    sheet = benchmark.pedantic(evaluate, setup=edited, rounds=1 if benchmark.disabled else 15)
    assert len(sheet.parts[0].holes) == 5000
    if not benchmark.disabled and benchmark.stats is not None:
        told_ms(note, "edit among 5,000 holes", benchmark, EDIT_LIMIT_MS)


def told_ms(note: Note, what: str, benchmark: BenchmarkFixture, limit: float) -> None:
    """The median beside what was set for it."""
    assert benchmark.stats is not None
    ours = median(benchmark.stats.stats.data) * 1e3
    note(what, f"{ours:.0f} ms", f"limit {limit:.0f} ms", f"{ours / limit:.2f}")
