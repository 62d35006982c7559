"""Kicks on random networks with capacitors against a circuit simulator.

A dozen in the suite, each moment of the product's own steps and for one each 0.1 ms; with
``FULL_COUNT`` in the environment it is 200, all of them each 0.1 ms.
"""

import os
import shutil
import subprocess
from pathlib import Path
from random import Random

import numpy as np
import pytest

from domain.electrical.transient.integrate import integrate
from domain.electrical.transient.pattern import Kick, steps
from tests.reference.electrical.transients import deck, random_net

FULL = "FULL_COUNT" in os.environ
COUNT = 200 if FULL else 12

UNTIL_S, STEP_S = (0.2, 1e-4) if FULL else (0.1, 1e-4)

WITHIN = 0.01
"""Share of the greatest dip at a port by which the two may differ, 0.1 ms by 0.1 ms."""

LEAST_V = 1e-4
"""And no less than this [V]: a hundredth of a dip that nobody could measure."""


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
def test_random_networks(tmp_path: Path) -> None:
    # source: ngspice, as the distribution ships it, which finds rest and hit itself (gear, 0.1 ms)
    compared = 0
    for seed in range(COUNT):
        random = Random(seed)
        network = random_net(random)
        kick = Kick((0.01, 0.13), random.uniform(0.02, 0.08), random.uniform(0.002, 0.01))
        if not network.rest().converged or min(network.rest(1.0).element_v) < 8:
            continue  # near collapse the simulator may follow another solution
        (tmp_path / "deck.cir").write_text(deck(network, kick, UNTIL_S, STEP_S), encoding="utf-8")
        done = subprocess.run(
            ["ngspice", "-b", "deck.cir"],
            cwd=tmp_path,
            capture_output=True,
            text=True,
            check=False,
            timeout=120,
        )
        assert (tmp_path / "read.data").exists(), (seed, done.stdout[-2000:], done.stderr[-2000:])
        read = np.loadtxt(tmp_path / "read.data", skiprows=1 if _titled(tmp_path) else 0)
        (tmp_path / "read.data").unlink()
        traces = [integrate([network.case()], kick, steps(kick, UNTIL_S))]
        if FULL or seed == 1:
            traces.append(integrate([network.case()], kick, steps(kick, UNTIL_S, 1e-4, 1e-4)))
        assert not any(trace.failed for trace in traces)
        for number, port in enumerate(network.ports):
            theirs = read[:, number + 1]
            least = max(WITHIN * (theirs.max() - theirs.min()), LEAST_V)
            for mine in traces:
                there = np.interp(mine.times_s, read[:, 0], theirs)
                apart = abs(mine.volts[:, 0, number] - there).max()
                assert apart < least, (seed, port.name, apart, least)
        compared += 1
    assert compared >= COUNT * 3 // 4


def _titled(folder: Path) -> bool:
    """Whether a line of names stands above the figures."""
    first = (folder / "read.data").read_text(encoding="utf-8").split(maxsplit=1)[0]
    return not first[0].isdigit()
