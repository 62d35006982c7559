"""What holds for the whole suite."""

import pytest
from hypothesis import settings

from tests.storage import server

settings.register_profile("suite", derandomize=True, deadline=None)
settings.load_profile("suite")
"""The same examples at every run: a red suite then means a change, not a new random number.
To look for new ones: ``pytest --hypothesis-profile default``."""


def _is_the_run(config: pytest.Config) -> bool:
    """Whether this is the run's own process, not one of its workers."""
    return not hasattr(config, "workerinput")


def pytest_configure(config: pytest.Config) -> None:
    """Say where the tests' server is to be, should one of them want it."""
    if _is_the_run(config):
        server.prepare()


def pytest_unconfigure(config: pytest.Config) -> None:
    """End it."""
    if _is_the_run(config):
        server.clear_away()
