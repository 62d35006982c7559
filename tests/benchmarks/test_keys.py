"""From a key press to a settled live pane, and the bytes it takes, against an echoing input.

Lengths of the main run and of the run below it are typed in turn into the distribution view at
120x40: every digit changes the figures of the live pane, every committed edit is saved. Lengths
of a bracket's two panels are typed into the view of custom parts: its pictures change too.
"""

# The fixture of pytest-benchmark is not fully typed.
# mypy: disable-error-code="no-untyped-call"

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from itertools import count
from pathlib import Path
from statistics import median

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from domain.build.records import Build
from tests.benchmarks.builds import bracket, three, twelve
from tests.benchmarks.conftest import Note
from tests.benchmarks.programs import ECHO, FIRST_SCREEN, lengths_m, mainrun, store_with
from tests.benchmarks.terminal import Answer, Terminal, clock

F4, F6, ENTER = b"\x1bOS", b"\x1b[17~", b"\r"
UP, DOWN, RIGHT, LEFT = b"\x1b[A", b"\x1b[B", b"\x1b[C", b"\x1b[D"
TO_RUNS = (F4, RIGHT, DOWN)
"""To the length of the main run, in the second row."""
TO_PANELS = (F6, DOWN, RIGHT)
"""To the length of the first panel, in the table below the parts."""


class Pair:
    """Mainrun on a length and the echoing input, side by side, a key to each in turn."""

    def __init__(
        self,
        stack: ExitStack,
        other: Terminal,
        folder: Path,
        build: Build,
        way: tuple[bytes, ...] = TO_RUNS,
    ) -> None:
        self.store, self.key = store_with(folder, build)
        self.ours = stack.enter_context(mainrun(self.store, self.key))
        self.other = other
        self.ours.until(*FIRST_SCREEN)
        self.ours.settle()
        for key in way:
            self.ours.press(key)
        self.down_a_column = way is TO_RUNS
        """Whether a confirmed length leads to the one below, not to the next column."""
        self.turn = 0
        self.answers: list[Answer] = []
        self.echoes: list[Answer] = []

    def go_on(self) -> None:
        """From where a confirmed length leads to the other of two lengths."""
        if self.down_a_column:
            back: tuple[bytes, ...] = (UP, UP) if self.turn % 2 else ()
        else:
            back = (LEFT, (DOWN, UP)[self.turn % 2])
        for key in back:
            self.ours.press(key)
        self.turn += 1

    def echo(self) -> None:
        """Press a key in the echoing input."""
        self.echoes.append(self.other.press(b"5"))

    def press(self, key: bytes) -> None:
        """Press a key in Mainrun."""
        self.answers.append(self.ours.press(key))


def _one_for(fixture_name: str, config: pytest.Config) -> str:
    """What is measured begins anew each time; else one echoing input is asked by all tests."""
    return "function" if config.getoption("benchmark_enable") else "module"


@pytest.fixture(scope=_one_for)  # type: ignore[arg-type]
def echo() -> Iterator[Terminal]:
    """The echoing input, once it is quiet."""
    with Terminal(ECHO) as other:
        other.until("Run 30", "ready")
        other.settle()
        yield other


def figures() -> Iterator[str]:
    """Lengths as they are typed, each another than the one before."""
    for number in count():
        yield f"{31 + 7 * (number % 9)}in"


@pytest.mark.benchmark(group="key press to settled", timer=clock)
@pytest.mark.parametrize("make", [three, twelve])
def test_typed_character(
    benchmark: BenchmarkFixture,
    note: Note,
    echo: Terminal,
    tmp_path: Path,
    make: Callable[[], Build],
) -> None:
    lengths = figures()
    left: list[str] = []

    with ExitStack() as stack:
        pair = Pair(stack, echo, tmp_path, make())

        def next_key() -> tuple[tuple[bytes], dict[str, object]]:
            if not left:
                if pair.answers:
                    pair.ours.press(ENTER)
                    pair.go_on()
                left.extend(next(lengths))
            pair.echo()
            return (left.pop(0).encode(),), {}

        rounds = 1 if benchmark.disabled else 32
        benchmark.pedantic(pair.press, setup=next_key, rounds=rounds)
        pair.ours.settle()
        rest = pair.ours.rest(2.0)
    # What was typed is shown, and nothing at all is written while nobody types.
    assert "3" in pair.answers[0].text
    assert rest == 0
    if not benchmark.disabled:
        report(benchmark, note, f"typed character, {make.__name__}", pair)
        note(f"at rest for 2 s, {make.__name__}", f"{rest} bytes", "", "")


@pytest.mark.benchmark(group="key press to settled", timer=clock)
@pytest.mark.parametrize(
    ("make", "way", "table"),
    [(three, TO_RUNS, "runs"), (twelve, TO_RUNS, "runs"), (bracket, TO_PANELS, "panels")],
)
def test_committed_edit(
    benchmark: BenchmarkFixture,
    note: Note,
    echo: Terminal,
    tmp_path: Path,
    make: Callable[[], Build],
    way: tuple[bytes, ...],
    table: str,
) -> None:
    lengths = figures()

    with ExitStack() as stack:
        pair = Pair(stack, echo, tmp_path, make(), way)
        before = lengths_m(pair.store, pair.key, table)

        def typed() -> tuple[tuple[bytes], dict[str, object]]:
            if pair.answers:
                pair.go_on()
            for character in next(lengths):
                pair.ours.press(character.encode())
            pair.echo()
            return (ENTER,), {}

        rounds = 1 if benchmark.disabled else 12
        benchmark.pedantic(pair.press, setup=typed, rounds=rounds)
        after = lengths_m(pair.store, pair.key, table)
    # An inch is 0.0254 m by definition: what was typed last on each of two rows is saved.
    changed = sorted(length or 0.0 for id, length in after.items() if length != before[id])
    last_in = [31 + 7 * (turn % 9) for turn in range(rounds)][-2:]
    assert changed == pytest.approx(sorted(inches * 0.0254 for inches in last_in), abs=1e-9)
    if not benchmark.disabled:
        report(benchmark, note, f"committed edit, {make.__name__}", pair)


def report(benchmark: BenchmarkFixture, note: Note, what: str, pair: Pair) -> None:
    """Three lines: until settled, until the first bytes, and bytes (median and most)."""
    for title, name in (("settled", "settled_s"), ("first bytes", "first_s")):
        ours, other = (
            median(getattr(answer, name) for answer in answers)
            for answers in (pair.answers, pair.echoes)
        )
        benchmark.extra_info[f"{title}, ratio to an echoed input"] = ours / other
        note(
            f"{what}, {title}",
            f"{ours * 1e3:.1f} ms",
            f"echoed input: {other * 1e3:.1f} ms",
            f"{ours / other:.2f}",
        )
    ours, other = (
        median(answer.bytes for answer in answers) for answers in (pair.answers, pair.echoes)
    )
    most = max(answer.bytes for answer in pair.answers)
    benchmark.extra_info["bytes, median"] = ours
    benchmark.extra_info["bytes, most"] = most
    note(
        f"{what}, bytes (most)",
        f"{ours:.0f} ({most})",
        f"echoed input: {other:.0f}",
        f"{ours / other:.2f}",
    )
