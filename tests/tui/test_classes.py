"""No class of the terminal program stands on a tower of others: three storeys are the most."""

import importlib
import inspect
import pkgutil
from collections.abc import Iterator

import tui

MOST = 3
"""Classes of our own in a chain, the last one included; those of libraries do not count."""


def own_classes() -> Iterator[type]:
    """Every class that a module of the terminal program defines."""
    for found in pkgutil.walk_packages(tui.__path__, "tui."):
        module = importlib.import_module(found.name)
        for _, kind in inspect.getmembers(module, inspect.isclass):
            if kind.__module__ == found.name:
                yield kind


def chain(kind: type) -> int:
    """The longest line of own classes from this one up to one that has only libraries above."""
    if not kind.__module__.startswith("tui."):
        return 0
    return 1 + max((chain(base) for base in kind.__bases__), default=0)


def test_no_class_stands_on_more_than_two_others_of_ours() -> None:
    depths = {f"{kind.__module__}.{kind.__qualname__}": chain(kind) for kind in own_classes()}
    assert "tui.screens.build.BuildScreen" in depths
    assert {name: depth for name, depth in depths.items() if depth > MOST} == {}
