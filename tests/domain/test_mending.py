"""Edits that mend electrical findings: each is tried on a build that has the fault.

Expected by definition: after the edit the finding is gone and nothing worse has come up.
"""

import pytest

from domain.build.actions import add_amplifier, applied
from domain.build.edits import Edit, Scalar, SetField
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.findings import Level
from domain.mending import mend


def _build(*changes: tuple[str, str, str, Scalar]) -> Build:
    """One amplifier behind a block that takes 1/0, with these changes."""
    build = applied(start_build(), add_amplifier(start_build()))
    build = applied(build, SetField(table="blocks", id="d1", field="largest_in", value="AWG 1/0"))
    for table, id, field, value in changes:
        build = applied(build, SetField(table=table, id=id, field=field, value=value))
    return build


def _mended(build: Build, code: str) -> tuple[Edit | None, Build]:
    finding = next(f for f in evaluate(build).findings if f.code == code)
    edit = mend(build, finding)
    return edit, applied(build, edit) if edit else build


def _serious(build: Build) -> int:
    return sum(f.level is not Level.NOTE for f in evaluate(build).findings)


def test_a_cable_of_the_vehicle_is_replaced_by_as_many_as_it_takes() -> None:
    # 400 A fuses: one AWG 4/0 carries less, two more
    build = _build(("amplifiers", "a1", "channel_w", 3000.0))
    told = [f for f in evaluate(build).findings if f.id == "r3" and f.code == "ground-overload"]
    (finding,) = told
    edit = mend(build, finding)
    assert edit is not None
    after = applied(build, edit)
    (ground,) = (run for run in after.runs if run.id == "r3")
    assert (ground.existing, ground.count) == (False, 2)


def test_what_the_sweep_of_shared_shorts_alone_tells_is_mended_too() -> None:
    build = _build(
        ("amplifiers", "a1", "channel_w", 1200.0),
        ("amplifiers", "a1", "largest_wire", "AWG 4"),
        *(("runs", id, "count", 2) for id in ("r5", "r6")),
        ("batteries", "b1", "capacity_ah", 300.0),
    )
    (finding,) = (f for f in evaluate(build, swept=True).findings if f.code == "shared-short")
    assert finding.id == "r3"
    edit = mend(build, finding)
    assert edit is not None
    after = evaluate(applied(build, edit), swept=True).findings
    assert not [f for f in after if f.level is not Level.NOTE]


@pytest.mark.parametrize(
    ("code", "changes"),
    [
        ("fuse-over-wire", (("runs", "r4", "fuse_a", 300.0),)),
        ("fuse-over-wire", (("runs", "r4", "gauge", "AWG 10"), ("runs", "r4", "fuse_a", 80.0))),
        ("fuse-small", (("runs", "r5", "fuse_a", 10.0),)),
        ("fuse-series", (("runs", "r5", "fuse_a", 77.0),)),
        ("wire-overloaded", (("runs", "r5", "gauge", "AWG 16"),)),
        ("no-fuse", (("runs", "r4", "fused", False),)),
        ("fuse-far", (("runs", "r4", "fuse_distance_m", 1.2),)),
        ("fused-ground", (("runs", "r6", "fused", True),)),
        ("ground-thin", (("runs", "r5", "gauge", "AWG 4"), ("runs", "r6", "gauge", "AWG 10"))),
    ],
)
def test_the_edit_mends_it(code: str, changes: tuple[tuple[str, str, str, Scalar], ...]) -> None:
    before = _build(*changes)
    edit, after = _mended(before, code)
    assert edit is not None
    found = evaluate(after).findings
    assert code not in {f.code for f in found if f.level is not Level.NOTE}
    serious = [
        sum(f.level is not Level.NOTE for f in evaluate(b).findings) for b in (before, after)
    ]
    assert serious[1] < serious[0]


def test_a_block_that_takes_more_where_the_block_holds_the_wire_back() -> None:
    # by the terminals: 4x100 and 1x800 W on 15 ft through a block that ends at 1/0 lose 0.72 V
    build = _build(("runs", "r4", "length_m", 4.572), ("amplifiers", "a1", "channel_w", 800.0))
    build = applied(build, add_amplifier(build, channels=4, channel_w=100.0))
    tight = applied(build, SetField(table="header", field="drop_limit_v", value=0.65))
    edit, after = _mended(tight, "drop")
    assert edit is not None
    assert not [f for f in evaluate(after).findings if f.code == "drop"]


def test_what_no_edit_mends_is_not_offered() -> None:
    # by definition: a drop limit that no wire in stock meets has no edit
    build = _build(("header", "", "drop_limit_v", 0.001))
    assert _mended(build, "drop")[0] is None


def test_a_full_block_gets_places_for_all_its_wires() -> None:
    # by counting: five branches on a block of four
    build = start_build()
    for _ in range(5):
        build = applied(build, add_amplifier(build))
    edit, after = _mended(build, "block-full")
    assert edit is not None
    assert after.blocks[0].places == 6
    assert "block-full" not in {f.code for f in evaluate(after).findings}
