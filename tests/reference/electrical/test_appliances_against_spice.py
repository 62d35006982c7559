"""Loads of every kind against a circuit simulator, each written as what it is physically."""

from random import Random

import pytest

from domain.build.choices import LoadKind
from domain.build.records import Appliance
from domain.electrical import loads
from domain.electrical.network import nodal
from tests.reference.electrical.circuits import Between, Branch, by_name, solved
from tests.reference.electrical.test_solver_against_spice import WITHIN_V, simulated

KINDS = [kind for kind in LoadKind if kind is not LoadKind.CAPACITOR]
"""A capacitor has no power of its own: at rest it only leaks."""


def random_loads(random: Random) -> tuple[list[Branch], list[Between], list[str]]:
    """A feed with several loads on it, as our laws and as lines of a netlist."""
    branches: list[Branch] = [("s", "n0", random.uniform(0.002, 0.01))]
    elements: list[Between] = [("s", "0", nodal.held_law(rest := random.uniform(12.2, 14.4)))]
    lines = [f"V0 e 0 {rest!r}", "R0 e s 1e-6", f"R1 s n0 {branches[0][2]!r}"]
    for i in range(random.randint(1, 6)):
        ohm = random.uniform(0.002, 0.05)
        branches.append(("n0", f"l{i}", ohm))
        lines.append(f"Rw{i} n0 l{i} {ohm!r}")
        appliance = Appliance(
            id="v1",
            kind=random.choice(KINDS),
            power_w=random.uniform(5, 200),
            rated_v=random.choice((12.0, 13.8)),
            efficiency=random.uniform(0.8, 0.95),
            idle_a=random.choice((0.0, 0.7)),
            lowest_v=8.0,
        )
        share = random.uniform(0.2, 1.0)
        elements.append((f"l{i}", "0", nodal.load_law(loads.appliance_load(appliance, share))))
        watts = appliance.power_w * share
        if appliance.kind is LoadKind.RESISTANCE:
            lines.append(f"Rl{i} l{i} 0 {appliance.rated_v**2 / watts!r}")
        elif appliance.kind is LoadKind.CURRENT:
            lines.append(f"Il{i} l{i} 0 {watts / appliance.rated_v!r}")
        else:
            eta = appliance.efficiency if appliance.kind is LoadKind.INVERTER else 1.0
            lines.append(f"Bl{i} l{i} 0 I={watts / (eta or 1.0)!r}/v(l{i})")
        lines.append(f"Ii{i} l{i} 0 {appliance.idle_a!r}")
    lines += [f".nodeset v(l{i})=12" for i in range(len(branches) - 1)]
    return branches, elements, ["* loads", *lines, ".op", ".end", ""]


def test_random_loads() -> None:
    # source: neospice 0.2.0: resistors, current sources and power loads that it solves itself
    compared = 0
    for seed in range(300):
        branches, elements, lines = random_loads(Random(seed))
        volts, solution = solved(branches, elements, 15)
        if min(by_name(volts, a) for a, _, _ in elements) < 8.5:
            continue
        result = simulated("\n".join(lines))
        assert result is not None, seed
        compared += 1
        for name, mine in volts.items():
            assert result.voltage(name) == pytest.approx(mine, abs=WITHIN_V), (seed, name)
        # conservation: what the source gives is taken by loads and heat
        given = -solution.element_a[0] * solution.element_v[0]
        taken = sum(
            i * v for i, v in zip(solution.element_a[1:], solution.element_v[1:], strict=True)
        )
        heat = sum(i * i * r for i, (_, _, r) in zip(solution.branch_a, branches, strict=True))
        assert given == pytest.approx(taken + heat, abs=1e-6)
    assert compared >= 290
