"""What is said of some builds changes only where somebody means it to change."""

from difflib import unified_diff

import pytest

from tests.kept.plans import NAMES, as_before, before, kept, said


@pytest.mark.parametrize("name", NAMES)
def test_the_same_is_said_as_before(name: str) -> None:
    old, now = before(name), said(kept(name))
    changed = list(unified_diff(old, as_before(old, now), "before", "now", n=0, lineterm=""))
    assert not changed, "\n".join(["meant? then: python -m tests.kept.plans", *changed[:40]])
