"""What holds for the whole suite."""

import gc
import os
import sys
from collections.abc import Iterable, Iterator
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from storage.store.location import Server
from tests.storage import server
from tests.storage.laid_out import lay_out_once

ROOT = Path(__file__).parents[1]

settings.register_profile("suite", derandomize=True, deadline=None)
settings.load_profile("suite")
"""The same examples at every run: a red suite then means a change, not a new random number.
To look for new ones: ``pytest --hypothesis-profile default``."""

sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
"""As on a user's machine: what is compiled is kept, so that each of the programs that tests start,
some two hundred, does not compile itself anew, half a second each."""

gc.set_threshold(20_000, 20, 50)
"""Tests keep much and leave little in circles: the collector looks at it less often."""


def _is_the_run(config: pytest.Config) -> bool:
    """Whether this is the run's own process, not one of its workers."""
    return not hasattr(config, "workerinput")


WAITING_WORKERS = 1
"""Workers beside one for each core: they go on while others wait for a program or a server."""


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """How many workers ``-n auto`` means."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    return (cores or 1) + WAITING_WORKERS


@pytest.hookimpl(tryfirst=True)
def pytest_collection(session: pytest.Session) -> None:
    """Where workers share a run, each first loads a part of the test files.

    Pytest rewrites every file at its first load, and keeps what it wrote: at the first run of a
    clone each worker would rewrite all of them. What does not load is told when it is collected.
    """
    given: dict[str, Any] = getattr(session.config, "workerinput", {})
    if given:
        here, workers = int(given["workerid"].removeprefix("gw")), given["workercount"]
        for path in _test_files(session.config.args)[here::workers]:
            with suppress(Exception, pytest.skip.Exception):
                import_module(".".join(path.relative_to(ROOT).with_suffix("").parts))


def _test_files(asked: Iterable[str]) -> list[Path]:
    """The test files that are asked for, or that lie in folders which are."""
    places = (Path(each.partition("::")[0]).resolve() for each in asked)
    return sorted({f for at in places for f in ([at] if at.is_file() else at.rglob("test_*.py"))})


def pytest_configure(config: pytest.Config) -> None:
    """Say where the tests' server is to be, should one of them want it."""
    if _is_the_run(config):
        server.prepare()


def pytest_unconfigure(config: pytest.Config) -> None:
    """End it."""
    if _is_the_run(config):
        server.clear_away()


@pytest.fixture(scope="session", autouse=True)
def _stores_are_laid_out_once() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        lay_out_once(patch)
        yield


@pytest.fixture
def at_server() -> server.Running:
    """The server of this run."""
    try:
        return server.running()
    except server.NoServer as error:
        pytest.skip(str(error))


@pytest.fixture
def on_server(at_server: server.Running) -> Server:
    """Room for a store on a server."""
    return server.new_place(at_server)
