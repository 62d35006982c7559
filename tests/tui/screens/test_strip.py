"""The strip of a narrow terminal tells of the main run, and of all its wires together.

Expected by definition: the main run is the first of those that carry the most.
"""

import re

import pytest

from domain.build.actions import add_amplifier, applied
from domain.build.edits import Edit, SetField
from domain.build.start import start_build
from domain.evaluate import evaluate
from tui.widgets.pane_lines import strip_lines


def strip(*edits: Edit) -> str:
    """The strip's first line, of one amplifier with these edits."""
    build = start_build()
    build = applied(build, add_amplifier(build, channels=4, channel_w=75.0))
    build = applied(build, *edits)
    return strip_lines(build, evaluate(build), 120)[0].plain


@pytest.mark.parametrize("length_ft", range(8, 30, 2))
def test_it_tells_of_the_main_run_at_every_length(length_ft: int) -> None:
    # one amplifier: main run and branch carry the same, up to rounding
    told = strip(
        SetField(table="runs", id="r4", field="length_m", value=length_ft * 0.3048),
        SetField(table="runs", id="r4", field="fuse_a", value=60.0),
    )
    assert "fuse 60 A," in told


def test_wires_side_by_side_carry_together() -> None:
    two = (SetField(table="runs", id=id, field="count", value=2) for id in ("r4", "r5"))
    alone = re.search(r"main ([\d.]+) A, fuse [\d.]+ A, wire \d", strip())
    both = re.search(r"main ([\d.]+) A, fuse [\d.]+ A each, wire 2x", strip(*two))
    assert alone
    assert both
    assert float(both[1]) == pytest.approx(float(alone[1]), rel=0.03)
