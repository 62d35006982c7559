"""What a part carries is added up, and what nobody entered is asked; heat where it is mounted."""

import re
from typing import Any

import pytest

from domain.build.records import Build, Stud
from domain.fabrication.parts import fabricate
from domain.fabrication.shape.panel_tree import records_by_part
from domain.fabrication.strength.payload import burdens_of
from domain.findings import Level
from tests.domain.fabrication.making import build_of, codes_of

METAL = {"material": "aluminium 5052-H32", "thickness_m": 0.003}
L_PANELS = [
    {"id": "n1", "length_m": 0.1, "width_m": 0.1},
    {"id": "n2", "joins": "n1", "length_m": 0.1, "width_m": 0.1},
]
SCREWS = [
    {"id": f"h{k}", "panel": "n1", "x_m": x, "y_m": y, "kind": "clearance", "thread": "M6"}
    for k, (x, y) in enumerate([(0.02, 0.02), (0.08, 0.02), (0.02, 0.06), (0.08, 0.06)], 1)
]


def carrying(*masses_kg: float, **part: Any) -> Build:
    """An L bracket with a device of each mass on its upright."""
    feet = [{"id": f"f{k}", "mass_kg": m, "name": f"Box {k}"} for k, m in enumerate(masses_kg, 1)]
    mounts = [{"id": f"o{k}", "footprint": f"f{k}", "panel": "n2"} for k, _ in enumerate(feet, 1)]
    zone = part.pop("zones", None)
    more = {"zones": zone} if zone is not None else {}
    return build_of(
        L_PANELS, part={**METAL, **part}, holes=SCREWS, footprints=feet, mounts=mounts, **more
    )


def carried_kg(build: Build) -> float:
    return sum(burden.mass_kg for burden in burdens_of(build, records_by_part(build)["p1"]))


# conservation: what hangs on a part is the sum of all that was put on it
@pytest.mark.parametrize(
    ("masses", "load", "total"),
    [
        ((), 10, 10),
        ((0.1,), 10, 10.1),
        ((0.1, 2.0), 0, 2.1),
        ((2.0, 0.0), 1.5, 3.5),
        ((0.0, 0.0), 3.0, 3.0),
        ((0.0,), 0, 0.0),
    ],
)
def test_everything_carried_adds_up(masses: tuple[float, ...], load: float, total: float) -> None:
    assert carried_kg(carrying(*masses, load_kg=load)) == pytest.approx(total)


def test_a_light_footprint_does_not_lift_a_heavy_load_off() -> None:
    # 10 kg on a 3 mm bracket breaks it; a device of 0.1 kg besides must not make that good
    before = fabricate(carrying(load_kg=10))[0][0].strength
    after = fabricate(carrying(0.1, load_kg=10))[0][0].strength
    assert before is not None
    assert after is not None
    assert before.margin is not None
    assert after.margin is not None
    assert after.margin < before.margin < 2
    assert {"strip-breaks", "strip-weak"} & set(codes_of(carrying(0.1, load_kg=10)))


def test_a_device_without_a_mass_is_asked_for() -> None:
    found = [f for f in fabricate(carrying(0.1, 0.0))[1] if f.code == "mount-without-mass"]
    assert [(f.level, f.table, f.id) for f in found] == [(Level.FIX, "footprints", "f2")]
    assert not re.search(r"\bo\d+\b", found[0].why), "the id of a mount says nothing"
    # with a load of the part's own, that is taken, and said
    shared = [f for f in fabricate(carrying(0.0, load_kg=1))[1] if f.code == "mount-shares-load"]
    assert [(f.level, f.id) for f in shared] == [(Level.NOTE, "f1")]
    assert "mount" not in "".join(codes_of(carrying(0.1, 2.0)))


def test_a_part_that_carries_something_unknown_says_so() -> None:
    build = Build.of({**carrying().plain(), "amplifiers": [{"id": "a1", "name": "Four channels"}]})
    part = build.parts[0].but(carries="a1")
    assert "carried-not-entered" in codes_of(build.but(parts=(part,)))
    weighed = part.but(load_kg=4.0)
    assert "carried-not-entered" not in codes_of(build.but(parts=(weighed,)))


BAY = [{"id": "z1", "name": "Engine bay", "ambient_c": 60}]


def bracket_in(zones: list[dict[str, Any]], material: str) -> list[str]:
    zone = "z1" if zones else ""
    build = carrying(0.2, zones=zones, zone=zone, material=material, thickness_m=0.00635)
    return codes_of(build)


def test_a_plastic_bracket_in_an_engine_bay_stands_the_hot_soak() -> None:
    # 60 C is the air for wire while driving; ISO 16750-4 has 105 C there, away from hot parts
    # (from memory), above the heat deflection temperature of ABS (88 C) and of acrylic (95 C)
    for name in ("ABS", "acrylic"):
        assert {"part-too-warm", "strip-softens"} <= set(bracket_in(BAY, name))
    assert "strip-softens" not in bracket_in(BAY, "polycarbonate")
    assert "part-too-warm" not in bracket_in(BAY, "mild steel")
    # a boot is as warm as it was entered
    boot = [{"id": "z1", "name": "Boot", "ambient_c": 60}]
    assert "part-too-warm" not in bracket_in(boot, "ABS")


def test_a_part_without_a_zone_is_asked_for_it() -> None:
    assert "part-without-zone" in bracket_in([], "ABS")
    assert "part-without-zone" not in bracket_in([], "mild steel")
    strong = fabricate(carrying(0.2, zones=[], zone="", material="ABS"))[0][0].strength
    assert strong is not None
    assert strong.temperature_c == 75


@pytest.mark.parametrize(
    ("threads", "foot_m"),
    # source: washers of ISO 7089, outside diameters 9, 12 and 16 mm; common practice without one
    [(("M6", "M6"), 0.006), (("M8", "M4"), 0.0045), (("M8",), 0.008), ((), 0.005)],
)
def test_a_device_stands_on_its_smallest_washers(threads: tuple[str, ...], foot_m: float) -> None:
    build = carrying(1.0)
    studs = [
        Stud.of({"id": f"u{k}", "footprint": "f1", "thread": thread})
        for k, thread in enumerate(threads)
    ]
    build = build.but(studs=tuple(studs))
    (burden,) = burdens_of(build, records_by_part(build)["p1"])
    assert burden.foot_m == pytest.approx(foot_m)
