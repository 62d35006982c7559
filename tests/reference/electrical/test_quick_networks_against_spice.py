"""Random networks with capacitors, inductances and switches against a circuit simulator.

Five in the suite; with ``FULL_COUNT`` in the environment 200. Compared is each 0.1 ms.
"""

import os
import shutil
import subprocess
from pathlib import Path
from random import Random

import numpy as np
import pytest
from numpy.typing import NDArray

from domain.electrical.transient.integrate import integrate
from domain.electrical.transient.pattern import Kick
from tests.reference.electrical.transients import (
    DECK_OPTIONS,
    Switching,
    deck,
    moments,
    quick_net,
)

COUNT = 200 if "FULL_COUNT" in os.environ else 5

UNTIL_S, GRID_S = 0.06, 1e-4

WITHIN = 0.01
"""Share of what a port swings by in all by which the two may differ, at every 0.1 ms."""

LEAST_V = 1e-4
"""And no less than this [V]: a hundredth of what nobody could measure."""

SAME_REST_V = 1e-3
"""Where the simulator begins from another rest, it is not the same case [V]."""

OPTIONS = (
    "reltol=3e-5 vntol=3e-6 abstol=3e-6 method=gear",
    "reltol=1e-4 vntol=1e-6 abstol=1e-6 method=gear",
    "reltol=1e-4 vntol=1e-5 abstol=1e-5 method=gear",
)
"""It gives up on some of these networks at one setting, not at another. Its
trapezoidal rule is not asked: it rings where contacts close on an inductance."""


def simulated(folder: Path, text: str) -> NDArray[np.float64] | None:
    """What the simulator has read, to the end; ``None`` where it gives up at every setting."""
    assert DECK_OPTIONS in text
    for options in OPTIONS:
        (folder / "read.data").unlink(missing_ok=True)
        own = text.replace(DECK_OPTIONS, options)
        (folder / "deck.cir").write_text(own, encoding="utf-8")
        try:
            subprocess.run(
                ["ngspice", "-b", "deck.cir"],
                cwd=folder,
                capture_output=True,
                check=False,
                timeout=20,
            )
        except subprocess.TimeoutExpired:
            continue
        if (folder / "read.data").exists():
            found = np.loadtxt(folder / "read.data")
            if found[-1, 0] >= UNTIL_S - 1e-9:
                return found
    return None


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
def test_inductances_and_switches(tmp_path: Path) -> None:
    # source: ngspice, as the distribution ships it, which finds the rest and all after it itself
    grid = np.arange(round(UNTIL_S / GRID_S) + 1) * GRID_S
    compared = wires = switched = 0
    for seed in range(COUNT):
        random = Random(seed)
        network = quick_net(random)
        # the kick's bends lie on the grid, as those of the switches do
        lasts, edge = random.randint(150, 300) * GRID_S, random.randint(20, 80) * GRID_S
        kick = Kick((0.01,), lasts, edge)
        switching = Switching.of(network, kick, random)
        if not network.rest().converged:
            continue
        read = simulated(tmp_path, deck(network, kick, UNTIL_S, GRID_S / 40, switching))
        if read is None:
            continue
        times = moments(switching, UNTIL_S)
        trace = integrate([network.case()], switching, times)
        if abs(read[0, 1:] - trace.volts[0, 0]).max() > SAME_REST_V:
            continue
        assert not trace.failed
        for number, port in enumerate(network.ports):
            theirs = np.interp(grid, read[:, 0], read[:, number + 1])
            mine = np.interp(grid, times, trace.volts[:, 0, number])
            least = max(WITHIN * (theirs.max() - theirs.min()), LEAST_V)
            apart = abs(mine - theirs).max()
            assert apart < least, (seed, port.name, apart, least)
        compared += 1
        wires += any(port.name[0] == "w" for port in network.ports)
        switched += bool(switching.closed)
    assert compared >= COUNT * 3 // 4
    assert min(wires, switched) >= COUNT // 2
