"""Devices on a flange: overlaps, overhangs and sizes that nobody measured are told and mended."""

from typing import Any

import pytest

from domain.build.choices import Into, UnitHabit
from domain.build.edits import EditRefused, apply
from domain.build.records import Build
from domain.fabrication.checks.placed import placed_devices
from domain.fabrication.fixing_actions import carry, fix_part, screws_at_corners
from domain.fabrication.mending import mend
from domain.fabrication.parts import fabricate
from domain.fabrication.shape.device_outline import free_place, overlap
from domain.fabrication.steps import steps
from domain.findings import Finding, Level
from tests.domain.fabrication.making import INCH_M, build_of, codes_of, laid_of

METAL: dict[str, Any] = {"material": "aluminium 5052-H32", "thickness_m": 0.003}
IN = INCH_M


def plate(*mounts: dict[str, Any], studs: bool = True, **more: Any) -> Build:
    """A plate 10 in wide and 6 in long; devices 4 in by 2 in with four screws."""
    corners = [(0.25, 0.25), (3.75, 0.25), (0.25, 1.75), (3.75, 1.75)]
    feet = [
        {"id": f"u{f[1]}{k}", "footprint": f, "x_m": x * IN, "y_m": y * IN, "thread": "8-32"}
        for f in ("f1", "f2")
        for k, (x, y) in enumerate(corners)
    ]
    devices = [
        {"id": id, "name": name, "length_m": 4 * IN, "width_m": 2 * IN, "mass_kg": 0.4}
        for id, name in (("f1", "Block"), ("f2", "Relay"))
    ]
    made = [
        {"id": f"o{k}", "footprint": f"f{k}", "panel": "n1", **mount}
        for k, mount in enumerate(mounts, 1)
    ]
    panels = more.pop(
        "panels", [{"id": "n1", "name": "Plate", "length_m": 6 * IN, "width_m": 10 * IN}]
    )
    return build_of(
        panels, part={**METAL}, footprints=devices, studs=feet if studs else [], mounts=made, **more
    )


def at(x: float, y: float, **more: Any) -> dict[str, Any]:
    return {"x_m": x * IN, "y_m": y * IN, **more}


def told(build: Build, code: str) -> list[Finding]:
    return [finding for finding in fabricate(build)[1] if finding.code == code]


@pytest.mark.parametrize(
    ("first", "second", "by"),
    [
        (at(3, 3), at(3, 3), "2 in"),  # the same spot
        (at(3, 3), at(6.5, 3), "0.5 in"),
        (at(3, 3), at(7, 3), ""),  # side by side
        (at(3, 3), at(5.75, 3, turn_deg=90), "0.25 in"),
        (at(3, 3), at(6.01, 3, turn_deg=90), ""),
    ],
)
def test_devices_on_the_same_place_overlap(
    first: dict[str, Any], second: dict[str, Any], by: str
) -> None:
    build = plate(first, second)
    found = told(build, "devices-overlap")
    assert [f.level for f in found] == ([Level.FIX] if by else [])
    if by:
        (finding,) = found
        assert f"Block and Relay overlap by {by} on Plate" in finding.what
        edit = mend(build, finding)
        assert edit is not None
        assert not told(apply(build, edit)[0], "devices-overlap")


def test_the_overlap_is_what_parts_two_turned_outlines() -> None:
    """Against a general geometry: moved by what is told they touch, moved less they still meet."""
    for turn in range(0, 180, 7):
        build = plate(at(4, 3, turn_deg=turn), at(5, 2.5, turn_deg=2 * turn % 180))
        (_, _, one), (_, _, other) = placed_devices(laid_of(build))
        depth, way = overlap(one, other)
        assert depth > 0
        for share, apart in ((0.99, False), (1.01, True)):
            step = depth * share
            moved = [(x + way[0] * step, y + way[1] * step) for x, y in one]
            assert (overlap(moved, other)[0] <= 0) == apart


def test_back_to_back_only_screws_are_in_the_way() -> None:
    build = plate(at(4, 3), at(5, 3, mirrored=True))
    assert not told(build, "devices-overlap")
    (finding,) = told(build, "screws-under-device")
    assert "back to back" in finding.what
    assert "lie under the other device" in finding.why
    assert not told(plate(at(4, 3), at(5, 3, mirrored=True), studs=False), "screws-under-device")


@pytest.mark.parametrize(
    ("x", "studs", "level"),
    [
        (2.0, True, None),
        (1.9, True, Level.NOTE),  # its screws hold it on the flange
        (1.9, False, Level.FIX),  # nothing does
        (-0.5, True, Level.FIX),  # its middle is beyond the edge
    ],
)
def test_a_device_over_the_edge(x: float, studs: bool, level: Level | None) -> None:
    build = plate(at(x, 3), studs=studs)
    found = told(build, "device-over-edge")
    assert [f.level for f in found] == ([level] if level else [])
    if found:
        assert f"reaches {'0.1 in' if x > 0 else '2.5 in'} over the edge of Plate" in found[0].what
        edit = mend(build, found[0])
        assert edit is not None
        assert not told(apply(build, edit)[0], "device-over-edge")


def test_a_bend_up_is_no_edge() -> None:
    panels = [
        {"id": "n1", "name": "Plate", "length_m": 6 * IN, "width_m": 10 * IN},
        {"id": "n2", "joins": "n1", "edge": "left", "length_m": 3 * IN, "width_m": 6 * IN,
         "bend_radius_m": 0.005},
    ]  # fmt: skip
    assert told(plate(at(1.9, 3), panels=panels), "device-fouls")
    assert not told(plate(at(1.9, 3), panels=panels), "device-over-edge")
    panels[1]["up"] = False
    assert told(plate(at(1.9, 3), panels=panels), "device-over-edge")


def test_the_next_device_goes_to_free_space() -> None:
    blocks = [{"id": f"d{k}", "name": f"Block {k}"} for k in (1, 2, 3, 4)]
    panel = [{"id": "n1", "name": "Plate", "length_m": 6 * IN, "width_m": 14 * IN}]
    build = build_of(panel, part={**METAL}, blocks=blocks)
    for k in (1, 2, 3):
        edit = carry(build, "p1", device=f"d{k}")
        build, _ = apply(build, edit)
    assert not told(build, "devices-overlap")
    # a fourth has no room on 14 in by 6 in: it is told, and said at once
    assert "no room" not in edit.label
    edit = carry(build, "p1", device="d4")
    assert edit.label == "mount Block 4 on Bracket, where its assumed size has no room"
    build, _ = apply(build, edit)
    assert told(build, "devices-overlap")


@pytest.mark.parametrize(
    ("long_in", "wide_in", "many"),
    # by arithmetic, devices of 4 in by 4 in: two find room side by side, or one above the other;
    # in the middle the first would leave 2 in. Four in a row take 16 in and three gaps for a
    # finger, 1/4 in each. One alone stays in the middle.
    [(5, 8, 2), (8, 5, 2), (5, 12, 3), (5, 17, 4), (8, 8, 4), (7, 7, 1)],
)
def test_the_first_device_leaves_room_for_others(long_in: int, wide_in: int, many: int) -> None:
    panel = [{"id": "n1", "name": "Plate", "length_m": long_in * IN, "width_m": wide_in * IN}]
    feet = {"id": "f1", "name": "Square", "length_m": 4 * IN, "width_m": 4 * IN}
    build = build_of(panel, part={**METAL}, footprints=[feet])
    for _ in range(many):
        edit = carry(build, "p1", "f1")
        assert "no room" not in edit.label
        build, _ = apply(build, edit)
    assert not told(build, "devices-overlap")
    assert carry(build, "p1", "f1").label.endswith(", where it has no room")
    if many == 1:
        (mount,) = build.mounts
        assert (mount.x_m, mount.y_m) == pytest.approx((wide_in * IN / 2, long_in * IN / 2))


def test_a_device_is_turned_where_it_has_room_only_so() -> None:
    """By arithmetic: 8 in by 3 in is too long for 7 in across, and not for 9 in upwards."""
    panel = [{"id": "n1", "name": "Plate", "length_m": 9 * IN, "width_m": 7 * IN}]
    feet = {"id": "f1", "name": "Long", "length_m": 8 * IN, "width_m": 3 * IN}
    build = build_of(panel, part={**METAL}, footprints=[feet])
    build, _ = apply(build, carry(build, "p1", "f1"))
    assert [mount.turn_deg for mount in build.mounts] == [90.0]
    assert not told(build, "device-over-edge")


def test_a_device_keeps_clear_of_the_screws_of_the_part() -> None:
    panel = [{"id": "n1", "name": "Plate", "length_m": 6 * IN, "width_m": 10 * IN}]
    hole = {"id": "h1", "panel": "n1", "x_m": 5 * IN, "y_m": 3 * IN, "kind": "clearance",
            "thread": "10-24"}  # fmt: skip
    build = build_of(panel, part={**METAL}, blocks=[{"id": "d1", "name": "Block"}], holes=[hole])
    after, _ = apply(build, carry(build, "p1", device="d1"))
    (mount,) = after.mounts
    assert abs(mount.x_m - 5 * IN) > 2 * IN or abs(mount.y_m - 3 * IN) > 2 * IN


def test_room_is_found_wherever_a_fine_grid_finds_it() -> None:
    """Against every place of a fine grid."""
    area = (0.0, 0.0, 0.2, 0.1)
    for k in range(40):
        x, y = 0.02 + 0.004 * k, 0.03 + 0.001 * k
        low, high = (x - 0.02, y - 0.02), (x + 0.02, y + 0.02)
        box = (low, (high[0], low[1]), high, (low[0], high[1]))
        spot = free_place(area, (0.1, 0.06), 0.0, [box])
        grid = [
            (i / 1000, j / 1000)
            for i in range(50, 151)
            for j in range(30, 71)
            if abs(i / 1000 - x) >= 0.07 - 1e-9 or abs(j / 1000 - y) >= 0.05 - 1e-9
        ]
        assert (spot is not None) == bool(grid)


@pytest.mark.parametrize(
    ("units", "length_m"), [(UnitHabit.INCH, 4 * INCH_M), (UnitHabit.METRIC, 0.1)]
)
def test_sizes_that_nobody_measured_are_round_and_told(units: UnitHabit, length_m: float) -> None:
    panel = [{"id": "n1", "name": "Plate", "length_m": 0.2, "width_m": 0.25}]
    blocks = [{"id": "d1", "name": "Block"}]
    bare = build_of(panel, part={**METAL}, blocks=blocks, header={"units": units.value})
    build, _ = apply(bare, carry(bare, "p1", device="d1"))
    (footprint,) = build.footprints
    assert footprint.length_m == pytest.approx(length_m)
    (finding,) = told(build, "device-size-assumed")
    assert (finding.level, finding.what) == (Level.NOTE, "the size of Block is assumed")
    # screws that the outline grew to hold are no measure of it
    grown, _ = apply(build, screws_at_corners(build, footprint.id, 0.15, 0.04))
    assert told(grown, "device-size-assumed")
    measured = footprint.but(length_m=0.12)
    known = build.but(footprints=(measured,))
    assert "device-size-assumed" not in codes_of(known)


def test_screws_outside_a_measured_device_are_refused() -> None:
    build = plate(at(4, 3))
    after, _ = apply(build, screws_at_corners(build, "f1", 3.5 * IN, 1.5 * IN))
    assert (after.footprints[0].length_m, after.footprints[0].width_m) == (4 * IN, 2 * IN)
    with pytest.raises(EditRefused, match="screws 5 in apart lie outside Block, whose length is 4"):
        screws_at_corners(build, "f1", 5 * IN, 1.5 * IN)
    with pytest.raises(EditRefused, match="whose width is 2 in"):
        screws_at_corners(build, "f1", 3 * IN, 2.5 * IN)


def test_one_finding_for_all_holes_with_a_fault_and_one_fix() -> None:
    panel = [{"id": "n1", "name": "Plate", "length_m": 6 * IN, "width_m": 10 * IN}]
    holes = [
        {"id": f"h{k}", "panel": "n1", "x_m": x * IN, "y_m": y * IN, "kind": "clearance",
         "thread": "10-24"}
        for k, (x, y) in enumerate(((0.2, 0.2), (9.8, 0.2), (0.2, 5.8), (9.8, 5.8)), 1)
    ]  # fmt: skip
    build = build_of(panel, part={**METAL}, holes=holes)
    (finding,) = told(build, "hole-near-edge")
    assert finding.id == "h1"
    assert finding.what.startswith("holes h1, h2, h3 and h4 in Plate of Bracket are near the edge")
    edit = mend(build, finding)
    assert edit is not None
    after, _ = apply(build, edit)
    assert not told(after, "hole-near-edge")
    assert len({hole.x_m for hole in after.holes} & {hole.x_m for hole in build.holes}) == 0


def test_the_hole_behind_is_told_apart_from_that_of_the_part() -> None:
    """10-24: 0.221 in close to ASME B18.2.8 normal fit; a rivet nut's own hole is larger."""
    panel = [{"id": "n1", "name": "Plate", "length_m": 6 * IN, "width_m": 10 * IN}]
    bare = build_of(panel, part={**METAL})
    build, _ = apply(bare, fix_part(bare, "p1", Into.RIVET_NUT, thread="10-24"))
    (step,) = [s for s in steps(build, build.parts[0]) if "rivet nuts" in s.what]
    assert "in the body panel" in step.what
    assert "the part itself has 0.221 in there" in step.what
    there = float(step.what.split("drill ")[1].split(" in ")[0])
    assert there > 0.25
