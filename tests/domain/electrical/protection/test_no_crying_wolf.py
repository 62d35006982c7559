"""No crying wolf: of a sound plan nothing is said that is to be stopped for or mended.

Random plans, sound by common practice (``sound_builds`` says by which); everything left to the
engine. With ``FULL_COUNT`` in the environment 200 of them.
"""

import os
from random import Random

import pytest

from domain.evaluate import evaluate
from domain.findings import Level
from tests.domain.electrical.protection.sound_builds import sound

BUILDS = 200 if "FULL_COUNT" in os.environ else 16


@pytest.mark.parametrize("first", [0, BUILDS // 2])
def test_of_a_sound_plan_nothing_is_to_be_stopped_for_or_mended(first: int) -> None:
    told = {}
    for seed in range(first, first + BUILDS // 2):
        build = sound(Random(seed))
        assert build.amplifiers
        found = [f for f in evaluate(build, swept=True).findings if f.level is not Level.NOTE]
        if found:
            told[seed] = [(f.level.value, f.code, f.id, f.what) for f in found]
    assert told == {}
