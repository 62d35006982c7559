"""Whether all that follows from builds is here what it is in another checkout.

    python -m tests.benchmarks.same_answers PATH_OF_THE_OTHER [300]

The demo builds, those of the benchmarks, as many random builds as are asked for, half of them with
extreme values, and vehicles with ways. Each is evaluated in both checkouts, with what is worked
out when it is looked at; every eighth, the demo builds too, with shorts that sources share. Told
are the builds whose sheets differ, with the first figures that do, and the greatest difference of
two figures that are taken to be the same.
"""

import json
import subprocess
import sys
from collections.abc import Iterator
from os import environ
from pathlib import Path

WORKER = """
import json, sys
from random import Random
from demo_db.load import demo_builds
from domain.evaluate import evaluate
from tests.benchmarks.builds import sixty_four, three, twelve, with_main_length
from tests.domain.electrical.random_builds import random_build
from tests.domain.routes.vehicles import random_vehicle

def builds(count):
    for name, build in demo_builds():
        yield name, build, True
    for name, make in (("3", three), ("12", twelve), ("64", sixty_four)):
        for length in (2.0, 3.0, 3.25, 4.1, 6.3):
            yield f"{name} at {length} m", with_main_length(make(), length), False
    for seed in range(count):
        steps = 5 + seed % 36
        yield f"seed {seed}", random_build(Random(seed), steps, seed % 2 == 1), seed % 8 == 0
    for seed in range(count // 10):
        yield f"vehicle {seed}", random_vehicle(Random(seed)), False

def plain(value):
    for kind in ("__struct_fields__", "__dataclass_fields__"):
        if hasattr(value, kind):
            return {name: plain(getattr(value, name)) for name in getattr(value, kind)}
    if isinstance(value, dict):
        return {str(key): plain(each) for key, each in value.items()}
    return [plain(each) for each in value] if isinstance(value, (list, tuple)) else value

for name, build, swept in builds(int(sys.argv[1])):
    print(json.dumps([name, plain(evaluate(build, swept=swept))], default=str), flush=True)
"""

SAME = 1e-9
"""Two figures are one up to this share of them: sums in another order round otherwise."""


def sheets(checkout: Path, count: int) -> Iterator[tuple[str, object]]:
    """The sheets of all builds as one checkout works them out."""
    worker = subprocess.Popen(
        [sys.executable, "-c", WORKER, str(count)],
        cwd=checkout,
        env=environ | {"PYTHONPATH": str(checkout)},
        stdout=subprocess.PIPE,
        text=True,
    )
    assert worker.stdout
    for line in worker.stdout:
        name, sheet = json.loads(line)
        yield name, sheet
    if worker.wait():
        raise SystemExit(f"{checkout} stopped")


class Comparison:
    """What differs between two sheets."""

    def __init__(self) -> None:
        self.greatest = 0.0
        self.places: list[str] = []

    def beside(self, here: object, there: object, path: str = "") -> None:
        """Note every place below ``path`` where two values differ."""
        if isinstance(here, dict) and isinstance(there, dict) and here.keys() == there.keys():
            for key in here:
                self.beside(here[key], there[key], f"{path}.{key}")
        elif isinstance(here, list) and isinstance(there, list) and len(here) == len(there):
            for at, (one, other) in enumerate(zip(here, there, strict=True)):
                self.beside(one, other, f"{path}.{at}")
        elif here != there and not self._close(here, there):
            self.places.append(f"{path}: {here!r:.70} was {there!r:.70}")

    def _close(self, here: object, there: object) -> bool:
        if not (isinstance(here, int | float) and isinstance(there, int | float)):
            return False
        share = abs(here - there) / max(abs(here), abs(there), 1e-3)
        if share > SAME:
            return False
        self.greatest = max(self.greatest, share)
        return True


def main(other: str, count: str = "300") -> None:
    """Compare, and say what was found; ends with 1 where a sheet differs."""
    looked_at = differing = 0
    greatest = 0.0
    both = zip(
        sheets(Path.cwd(), int(count)), sheets(Path(other).resolve(), int(count)), strict=True
    )
    for (name, here), (_, there) in both:
        found = Comparison()
        found.beside(here, there)
        looked_at += 1
        greatest = max(greatest, found.greatest)
        if found.places:
            differing += 1
            print(f"{name}: {len(found.places)} differ, first {'; '.join(found.places[:3])}")
    print(f"{looked_at} sheets, {differing} differ; elsewhere figures by {greatest:.1e} at most")
    raise SystemExit(differing > 0)


if __name__ == "__main__":
    main(*sys.argv[1:])
