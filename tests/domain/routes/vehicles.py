"""Vehicles of places and sections for tests: one to read, and random ones."""

from random import Random
from typing import Any

from domain.build.records import Build

ZONES = (
    {"id": "z1", "name": "Engine bay", "ambient_c": 60.0},
    {"id": "z2", "name": "Cabin", "ambient_c": 50.0},
    {"id": "z3", "name": "Trunk", "ambient_c": 40.0},
)


def estate(**of_main: Any) -> Build:
    """A battery at the front and three amplifiers behind a block; 1.0 + 2.5 + 1.5 m of way."""
    runs: list[dict[str, Any]] = [
        {"id": "r1", "source": "b1", "target": "d1", "fused": True, "zone": "z1", **of_main}
    ]
    for number in (1, 2, 3):
        amp = f"a{number}"
        runs.append(
            {"id": f"r{number + 1}", "source": "d1", "target": amp, "fused": True, "zone": "z3"}
        )
        ground = {"polarity": "ground", "source": amp, "target": "e1", "zone": "z3"}
        runs.append({"id": f"r{number + 4}", **ground})
    runs.append({"id": "r8", "polarity": "ground", "source": "b1", "target": "e2", "zone": "z1"})
    places = ("Post", "Firewall", "Sill", "Trunk floor", "Side panel")
    return Build.of(
        {
            "header": {"units": "metric"},
            "zones": ZONES,
            "places": [{"id": f"j{i}", "name": name} for i, name in enumerate(places, 1)],
            "sections": [
                _section("y1", "j1", "j2", 1.0, zone="z1", panel="firewall"),
                _section("y2", "j2", "j3", 2.5, zone="z2"),
                _section("y3", "j3", "j4", 1.5, zone="z3"),
                _section("y4", "j4", "j5", 0.8, zone="z3"),
            ],
            "batteries": [{"id": "b1", "zone": "z1", "place": "j1"}],
            "alternators": [{"id": "g1", "rated_a": 180, "place": "j1"}],
            "blocks": [{"id": "d1", "name": "Block", "zone": "z3", "place": "j3"}],
            "amplifiers": [
                {"id": f"a{i}", "channel_w": 300, "zone": "z3", "place": place}
                for i, place in enumerate(("j4", "j5", "j5"), 1)
            ],
            "grounds": [
                {"id": "e1", "zone": "z3", "place": "j3"},
                {"id": "e2", "zone": "z1", "place": "j1"},
            ],
            "runs": [
                *runs,
                {"id": "r9", "source": "g1", "target": "b1", "existing": True, "zone": "z1"},
                {
                    **{"id": "r10", "source": "g1", "target": "e2", "existing": True},
                    **{"polarity": "ground", "zone": "z1"},
                },
            ],
        }
    )


def _section(id: str, one: str, other: str, long: float | None, **more: Any) -> dict[str, Any]:
    return {"id": id, "from_place": one, "to_place": other, "length_m": long, **more}


def random_vehicle(random: Random) -> Build:
    """Places joined at random, also not at all, side by side and in rings; devices at some."""
    places = [f"j{i}" for i in range(1, random.randint(2, 12) + 1)]
    sections = [
        _section(
            *(f"y{i}", random.choice(["", *places]), random.choice(places)),
            random.choice((None, 0.25, 0.5, 0.5, 1.0, 1.75, round(random.uniform(0.1, 4), 3))),
            zone=random.choice(("", "z1", "z2", "z3")),
        )
        for i in range(1, random.randint(1, 20) + 1)
    ]
    amplifiers = [
        {"id": f"a{i}", "zone": "z3", "place": random.choice(["", *places, *places])}
        for i in range(1, random.randint(2, 8))
    ]
    runs = []
    for i in range(1, random.randint(2, 14)):
        one, other = random.choice(amplifiers)["id"], random.choice(amplifiers)["id"]
        runs.append(
            {
                **{"id": f"r{i}", "source": one, "target": other, "count": random.randint(1, 3)},
                "via": random.choice(("", "", "", random.choice(places))),
                "loom": random.choice(("", "", "Left", "left ", "Right")),
                "length_m": random.choice((None, None, 2.0)),
                "polarity": random.choice(("positive", "ground")),
            }
        )
    return Build.of(
        {
            "header": {"units": "metric"},
            "zones": ZONES,
            "places": [{"id": id} for id in places],
            "sections": sections,
            "amplifiers": amplifiers,
            "runs": runs,
        }
    )
