"""From the start of the process to the first screen of an open build, against hello-world."""

# The fixture of pytest-benchmark is not fully typed.
# mypy: disable-error-code="no-untyped-call"

from collections.abc import Callable
from pathlib import Path
from statistics import median

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from domain.build.records import Build
from tests.benchmarks.builds import three, twelve
from tests.benchmarks.conftest import Note
from tests.benchmarks.programs import FIRST_SCREEN, HELLO, mainrun, store_with
from tests.benchmarks.terminal import Terminal


@pytest.mark.benchmark(group="start to first screen")
@pytest.mark.parametrize("make", [three, twelve])
def test_first_screen(
    benchmark: BenchmarkFixture, note: Note, tmp_path: Path, make: Callable[[], Build]
) -> None:
    store, key = store_with(tmp_path, make())
    hello_s: list[float] = []
    ours_s: list[float] = []
    open_now: list[Terminal] = []

    def hello() -> None:
        with Terminal(HELLO) as terminal:
            hello_s.append(terminal.until("Hello, world"))

    def first_screen() -> None:
        open_now.append(mainrun(store, key))
        ours_s.append(open_now[-1].until(*FIRST_SCREEN))

    def close() -> None:
        for terminal in open_now:
            terminal.close()

    rounds = 1 if benchmark.disabled else 11
    try:
        benchmark.pedantic(
            first_screen, setup=hello, teardown=close, rounds=rounds, warmup_rounds=1
        )
    finally:
        close()
    # Count: each start of ours has had its start of hello-world just before it.
    assert len(ours_s) == len(hello_s) >= rounds
    if benchmark.disabled:
        return
    # The first of each filled the caches of files and compiled code.
    ours, other = median(ours_s[1:]), median(hello_s[1:])
    benchmark.extra_info["hello-world s"] = other
    benchmark.extra_info["ratio to hello-world"] = ours / other
    note(
        f"first screen, {make.__name__} amplifiers",
        f"{ours * 1e3:.0f} ms",
        f"hello-world: {other * 1e3:.0f} ms",
        f"{ours / other:.2f}",
    )
