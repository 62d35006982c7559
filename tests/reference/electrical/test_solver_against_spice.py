"""The solver against general circuit simulators, on random networks and random builds."""

import contextlib
import logging
import os
import shutil
import subprocess
import sys
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import neospice
import pytest

from domain.electrical.network import nodal
from domain.electrical.network.netlist import netlist
from domain.electrical.sizing.size_and_solve import size_and_solve
from domain.sheet import NetworkState
from tests.domain.electrical.random_builds import random_build
from tests.reference.electrical.circuits import Between, Branch, by_name, power_load, solved

WITHIN_V = 1e-6


@contextlib.contextmanager
def hushed() -> Iterator[None]:
    """The simulator writes its remarks about loose nodes straight to the error channel."""
    sys.stderr.flush()
    kept = os.dup(2)
    logging.disable(logging.WARNING)
    try:
        with Path(os.devnull).open("wb") as nowhere:
            os.dup2(nowhere.fileno(), 2)
            yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        logging.disable(logging.NOTSET)


def tied_nodes(text: str) -> set[str]:
    """Nodes that resistors and voltage sources tie to node 0; elsewhere any level would do, and
    the netlist takes one of its own choice."""
    near: dict[str, set[str]] = defaultdict(set)
    for line in text.splitlines():
        if line[0] in "RV" and not line.startswith("Rloose"):
            _, a, b, *_ = line.split()
            near[a].add(b)
            near[b].add(a)
    found, reach = {"0"}, ["0"]
    while reach:
        for other in near[reach.pop()] - found:
            found.add(other)
            reach.append(other)
    return found


def simulated(text: str) -> Any:
    """The operating point by neospice, or ``None`` where it finds none."""
    try:
        with hushed():
            return neospice.dc(text)
    except RuntimeError:
        return None


def random_circuit(random: Random) -> tuple[list[Branch], list[Between], list[str]]:
    """A tree or mesh with several sources and constant-power loads that leave it far from
    collapse, and the same as lines of a netlist."""
    count = random.randint(3, 12)
    names = [f"n{i}" for i in range(count)]
    branches: list[Branch] = [
        (names[i], random.choice(names[:i]), random.uniform(0.001, 0.02)) for i in range(1, count)
    ]
    for _ in range(random.randint(0, 4)):
        a, b = random.sample(names, 2)
        branches.append((a, b, 10 ** random.uniform(-4, -1)))
    returns = [f"m{i}" for i in range(random.randint(1, 3))]
    branches += [(name, "0", random.uniform(0.0002, 0.01)) for name in returns]
    elements: list[Between] = []
    lines = [f"R{i} {a} {b} {ohm!r}" for i, (a, b, ohm) in enumerate(branches)]
    for i in range(random.randint(1, 3)):
        node, back = random.choice(names[:3]), random.choice([*returns, "0"])
        rest, ohm = random.uniform(12.4, 12.9), random.uniform(0.002, 0.02)
        elements.append((node, back, nodal.battery_law(rest, ohm, ohm)))
        lines += [f"V{i} s{i} {back} {rest!r}", f"Rs{i} s{i} {node} {ohm!r}"]
    for i in range(random.randint(1, 5)):
        node, back = random.choice(names), random.choice([*returns, "0"])
        watts, idle = random.uniform(5, 120), random.uniform(0, 2)
        elements.append((node, back, power_load(watts, 5, idle)))
        lines.append(f"B{i} {node} {back} I={watts!r}/v({node},{back})+{idle!r}")
    lines += [f".nodeset v({name})=12" for name in names]
    return branches, elements, ["* random", *lines, ".op", ".end", ""]


def test_random_networks() -> None:
    # source: neospice 0.2.0, which has to find the working point of every power load itself
    compared = 0
    for seed in range(300):
        branches, elements, lines = random_circuit(Random(seed))
        volts, _ = solved(branches, elements, 13)
        if min(by_name(volts, a) - by_name(volts, b) for a, b, _ in elements) < 7:
            continue  # near collapse the simulator may follow the lower solution
        result = simulated("\n".join(lines))
        if result is None:
            continue
        compared += 1
        for name, mine in volts.items():
            assert result.voltage(name) == pytest.approx(mine, abs=WITHIN_V), (seed, name)
    assert compared >= 250


@cache
def states_of(seed: int) -> tuple[list[tuple[str, NetworkState]], list[tuple[str, NetworkState]]]:
    """Netlists with solved currents, and with loads that ask for power, of one random build."""
    random = Random(seed)
    build = random_build(random, random.randint(0, 30))
    network = size_and_solve(build)
    states = [state for state in network.states if state.converged]
    picked = random.sample(states, min(2, len(states)))
    return (
        [(netlist(network.wired, state), state) for state in picked],
        [(netlist(network.wired, state, behavioural=True), state) for state in picked],
    )


def disagreement(text: str, state: NetworkState, read: Any) -> float:
    """Largest difference between a simulated and a solved node voltage [V]."""
    tied = tied_nodes(text)
    return max(
        (abs(read.voltage(name) - mine) for name, mine in state.node_v.items() if name in tied),
        default=0.0,
    )


def test_random_builds() -> None:
    # source: neospice 0.2.0: builds with several batteries, isolators, ground blocks, amplifiers
    # of all classes, loops and dead ends, in all states
    asked = 0
    for seed in range(150):
        plain, behavioural = states_of(seed)
        for text, state in plain:
            result = simulated(text)
            assert result is not None, (seed, state.id)
            assert disagreement(text, state, result) < WITHIN_V, (seed, state.id)
        for text, state in behavioural:
            asked += 1
            result = simulated(text)
            assert result is not None, (seed, state.id)
            assert disagreement(text, state, result) < WITHIN_V, (seed, state.id)
    assert asked == 300


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
def test_random_builds_by_ngspice(tmp_path: Path) -> None:
    # source: ngspice, as the distribution ships it
    asked = dead = 0
    for seed in range(20):
        for text, state in states_of(seed)[1]:
            names = [name for name in state.node_v if name in tied_nodes(text)]
            if not names:
                continue
            shown = " ".join(f"v({name})" for name in names)
            control = ".options reltol=1e-9 vntol=1e-9 abstol=1e-12\n.control\nop\n"
            control += f"set numdgt=12\nprint {shown}\n.endc\n.end\n"
            deck = tmp_path / "deck.cir"
            deck.write_text(text.replace(".op\n.end\n", control), encoding="utf-8")
            done = subprocess.run(
                ["ngspice", "-b", str(deck)],
                capture_output=True,
                text=True,
                check=False,
                timeout=20,
            )
            read = {
                line.split("=")[0].strip()[2:-1]: float(line.split("=")[1])
                for line in done.stdout.splitlines()
                if line.startswith("v(") and "=" in line
            }
            assert read.keys() == set(names), (seed, done.stdout[-2000:], done.stderr[-2000:])
            asked += 1
            dead += len(names) < len(state.node_v)
            for name in names:
                assert read[name] == pytest.approx(state.node_v[name], abs=WITHIN_V), (seed, name)
    assert asked == 40
    assert dead >= 5, "none of the builds has an alternator with an open terminal"
