"""What is said of some builds changes only where somebody means it to change."""

from difflib import unified_diff

import pytest

from tests.kept.plans import DATA, NAMES, kept, said, same


@pytest.mark.parametrize("name", NAMES)
def test_the_same_is_said_as_before(name: str) -> None:
    before = (DATA / f"{name}.txt").read_text(encoding="utf-8").splitlines()
    now = said(kept(name))
    if len(before) == len(now):
        now = [old if same(old, new) else new for old, new in zip(before, now, strict=True)]
    changed = list(unified_diff(before, now, "before", "now", n=0, lineterm=""))
    assert not changed, "\n".join(["meant? then: python -m tests.kept.plans", *changed[:40]])
