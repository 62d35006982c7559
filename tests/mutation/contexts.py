"""A plugin of the test runner: names each test to the coverage measurement, and notes its time.

Random examples are fewer than in the suite, in both steps: a fault told by fewer is told by more.
"""

import json
import os
import sys
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from coverage import Coverage
from hypothesis import settings

EXAMPLES = 15
"""Random examples of a property."""
TOO_LONG_S = 30.0
"""A test that took longer than this when it was last measured is left out [s]."""

_KEEPS = type(lru_cache(len))
_seconds: dict[str, float] = {}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Fewer random examples; slow tests are left out."""
    noted = Path(os.environ["MUTATION_TIMES"])
    known = json.loads(noted.read_text(encoding="utf-8")) if noted.is_file() else {}
    items[:] = [item for item in items if known.get(item.nodeid, 0.0) <= TOO_LONG_S]
    for item in items:
        function: Any = getattr(item, "function", None)
        own = getattr(function, "_hypothesis_internal_use_settings", None)
        if own is not None and own.max_examples > EXAMPLES:
            function._hypothesis_internal_use_settings = settings(own, max_examples=EXAMPLES)


def pytest_runtest_logstart(nodeid: str) -> None:
    """What runs from now on, fixtures too, is counted to this test, and nothing is kept for it.

    Else a line whose answer is kept would be counted to the test alone that was first to ask.
    """
    measuring = Coverage.current()
    if measuring is not None:
        for name, module in list(sys.modules.items()):
            if name.split(".")[0] == "domain":
                for value in list(vars(module).values()):
                    if isinstance(value, _KEEPS):
                        value.cache_clear()
        measuring.switch_context(nodeid)


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Add up setup, call and teardown."""
    _seconds[report.nodeid] = _seconds.get(report.nodeid, 0.0) + report.duration


def pytest_sessionfinish() -> None:
    """Write the times where they were asked for."""
    if Coverage.current() is not None:
        Path(os.environ["MUTATION_TIMES"]).write_text(json.dumps(_seconds), encoding="utf-8")
