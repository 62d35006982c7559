"""A plugin of the test runner: names each test to the coverage measurement, and notes its time."""

import json
import os
from pathlib import Path

import pytest
from coverage import Coverage

_seconds: dict[str, float] = {}


def pytest_runtest_logstart(nodeid: str) -> None:
    """What runs from now on, fixtures too, is counted to this test."""
    measuring = Coverage.current()
    if measuring is not None:
        measuring.switch_context(nodeid)


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Add up setup, call and teardown."""
    _seconds[report.nodeid] = _seconds.get(report.nodeid, 0.0) + report.duration


def pytest_sessionfinish() -> None:
    """Write the times where they were asked for."""
    Path(os.environ["MUTATION_TIMES"]).write_text(json.dumps(_seconds), encoding="utf-8")
