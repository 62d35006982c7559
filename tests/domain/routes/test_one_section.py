"""Where a way has one section, every figure is that of the run by itself, as without places.

The second method is the run-by-run rule: length, harness, location and cover typed at the run.
"""

from random import Random
from typing import Any

import pytest

from domain.build.records import Build
from domain.evaluate import evaluate
from tests.domain.routes.vehicles import ZONES

SEEDS = range(40)


def both(random: Random) -> tuple[Build, Build]:
    """The same harness told by one section, and run by run."""
    length = round(random.uniform(0.3, 6), 2)
    zone = random.choice(("z1", "z2", "z3"))
    cover = random.choice((None, None, "tube", "carpet"))
    amplifiers = random.randint(1, 4)
    metal = random.choice(("copper", "tinned copper"))
    wires = random.choice((1, 1, 2))
    units = random.choice(("inch", "metric"))

    def build(routed: bool) -> Build:
        of_run: dict[str, Any] = {"zone": zone, "loom": "Sill", "metal": metal, "count": wires}
        if not routed:
            of_run |= {"length_m": length, "cover": cover}
        runs = []
        for number in range(1, amplifiers + 1):
            ends = {"source": "d1", "target": f"a{number}", "fused": True}
            runs.append({"id": f"r{number}", **ends, **of_run})
            ground = {"polarity": "ground", "source": f"a{number}", "target": "e1"}
            runs.append({"id": f"r{number + 10}", **ground, **of_run})
        main = {"source": "b1", "target": "d1", "length_m": 0.4, "fused": True, "zone": "z1"}
        back = {"polarity": "ground", "source": "b1", "target": "e1", "length_m": 0.4}
        near, far = ({"place": "j1"}, {"place": "j2"}) if routed else ({}, {})
        section = {
            **{"id": "y1", "from_place": "j1", "to_place": "j2", "length_m": length},
            **{"zone": zone, "cover": cover, "hole": "new hole, grommet"},
        }
        # Found by the rule of two locations run by run, told by the section otherwise.
        return Build.of(
            {
                "header": {"units": units},
                "zones": ZONES,
                "places": [{"id": "j1"}, {"id": "j2"}] if routed else [],
                "sections": [section] if routed else [],
                "batteries": [{"id": "b1", "zone": "z1", **near}],
                "alternators": [{"id": "g1", **near}],
                "blocks": [{"id": "d1", "zone": "z2", **near}],
                "grounds": [{"id": "e1", "zone": "z2", **near}],
                "amplifiers": [
                    {"id": f"a{i}", "channel_w": 250.0, "zone": "z3", **far}
                    for i in range(1, amplifiers + 1)
                ],
                "runs": [
                    *runs,
                    {"id": "r30", **main},
                    {"id": "r31", "zone": "z1", **back},
                ],
            }
        )

    return build(True), build(False)


@pytest.mark.parametrize("seed", SEEDS)
def test_one_section_gives_the_figures_of_the_runs(seed: int) -> None:
    routed, plain = (evaluate(build) for build in both(Random(seed)))
    assert routed.runs == plain.runs
    assert routed.segments == plain.segments
    assert routed.states == plain.states
    assert [(m.item, m.size, m.quantity) for m in routed.materials] == [
        (m.item, m.size, m.quantity) for m in plain.materials
    ]
    assert [m.needed for m in routed.materials] == pytest.approx(
        [m.needed for m in plain.materials]
    )
    (of_section,), (of_word,) = routed.looms, plain.looms
    for one, other in zip(of_section.stretches, of_word.stretches, strict=True):
        assert (one.start_m, one.end_m) == pytest.approx((other.start_m, other.end_m))
        assert (set(one.runs), one.bundle_m, one.tube, one.over_m) == (
            *(set(other.runs), other.bundle_m, other.tube, other.over_m),
        )


def test_covers_and_locations_of_all_kinds_were_tried() -> None:
    seen = {(b.sections[0].zone, b.sections[0].cover) for b, _ in map(both, map(Random, SEEDS))}
    assert len({zone for zone, _ in seen}) == 3
    assert len({cover for _, cover in seen}) == 3
