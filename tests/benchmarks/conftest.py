"""Collects the ratios of a benchmark run and prints them as one table at the end."""

from collections.abc import Callable

import pytest

Note = Callable[[str, str, str, str], None]
_LINES = pytest.StashKey[list[tuple[str, str, str, str]]]()


@pytest.fixture
def note(request: pytest.FixtureRequest) -> Note:
    """Adds a line to the table: what, figure of Mainrun, figure it is compared with, ratio."""
    lines = request.config.stash.setdefault(_LINES, [])

    def add(what: str, ours: str, other: str, ratio: str) -> None:
        lines.append((what, ours, other, ratio))

    return add


@pytest.hookimpl(trylast=True)
def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print the table; nothing is printed when the benchmarks were only tried."""
    lines = terminalreporter.config.stash.get(_LINES, [])
    if not lines:
        return
    terminalreporter.section("ratios")
    for line in (("", "Mainrun", "compared with", "ratio"), *lines):
        terminalreporter.write_line(f"{line[0]:<46} {line[1]:>22} {line[2]:>34} {line[3]:>7}")
