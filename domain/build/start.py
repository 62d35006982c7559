"""The start of a build: what every vehicle has and every system needs, and nothing else."""

from functools import partial

from domain.build.choices import Polarity, UnitHabit, WireSizes, Words
from domain.build.dialect import in_words, words_of
from domain.build.records import (
    Build,
    Header,
)

ZONES = (
    ("Engine bay", 60.0),
    ("Cabin floor", 50.0),
    ("Rear", 50.0),
)
"""Zones of a new build with their design air temperatures [C]: planning values, editable.

Driving air away from the exhaust; hot soak reaches 80 to 110 C but with the music off. 33 CFR
183.425 Table 5 rates engine spaces at 50 C. Common practice, from memory.
"""

DRIVE = (("Warm up", "idle", 5), ("Drive", "cruise", 30), ("Park and play", "off", 20))
"""Drive profile of a new build: name, engine, minutes. An example to edit."""


def start_build(
    title: str = "New build", units: UnitHabit = UnitHabit.INCH, words: Words | None = None
) -> Build:
    """A build with what every vehicle has and every system needs.

    The factory battery, alternator and their cables (existing, lengths assumed), and ready to be
    measured: the main run with its fuse to a fused distribution block, and a ground point in the
    rear: what vehicle it is need not be known. Their names are in the words that the build speaks.
    """
    header = Header(title=title, units=units, words=words, wire_sizes=WireSizes.AWG)
    called = partial(in_words, words_of(header))
    zones = [
        {"id": f"z{i}", "name": called(name), "ambient_c": ambient}
        for i, (name, ambient) in enumerate(ZONES, 1)
    ]
    factory = {"existing": True, "zone": "z1"}
    ground = {"polarity": Polarity.GROUND}
    return Build.of(
        {
            "header": header,
            "zones": zones,
            "batteries": [{"id": "b1", "name": "Starter battery", "zone": "z1"}],
            "alternators": [{"id": "g1", "name": "Alternator"}],
            "blocks": [{"id": "d1", "name": "Main block", "zone": "z3"}],
            "grounds": [
                {
                    "id": "e1",
                    "name": called("Battery ground"),
                    "zone": "z1",
                    "surface": "plated stud",
                },
                {"id": "e2", "name": called("Rear ground"), "zone": "z3"},
            ],
            "runs": [
                {
                    "id": "r1",
                    "name": "Charge cable",
                    "source": "g1",
                    "target": "b1",
                    "gauge": "AWG 4",
                    **factory,
                },
                {
                    "id": "r2",
                    "name": "Engine strap",
                    "source": "g1",
                    "target": "e1",
                    "gauge": "AWG 4",
                    **ground,
                    **factory,
                },
                {
                    "id": "r3",
                    "name": called("Battery ground cable"),
                    "source": "b1",
                    "target": "e1",
                    "gauge": "AWG 2",
                    **ground,
                    **factory,
                },
                {
                    "id": "r4",
                    "name": "Main run",
                    "source": "b1",
                    "target": "d1",
                    "fused": True,
                    "zone": "z1",
                },
            ],
            "legs": [
                {"id": f"l{i}", "name": name, "engine": engine, "duration_s": minutes * 60}
                for i, (name, engine, minutes) in enumerate(DRIVE, 1)
            ],
        }
    )
