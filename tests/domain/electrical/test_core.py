"""What is taken out of the nodes that are solved for, and that nothing changes by it."""

from random import Random

import numpy as np
import pytest

from domain.electrical.network import nodal
from domain.electrical.network.core import Reduced, core

REFERENCE = nodal.REFERENCE
Joints = list[tuple[int, int]]


def _hanging(count: int, wires: Joints, loads: Joints, tied: tuple[int, ...] = ()) -> list[int]:
    """The places of the elements that hang."""
    found = core(count, tuple((a, b, -1) for a, b in wires), tied, tuple(loads))
    return list(found.order[len(found.joined) :])


def test_a_load_with_a_wire_on_either_side_hangs() -> None:
    # 0 battery +, 1 block, 2 load +, 3 load -
    wires = [(0, 1), (1, 2), (3, REFERENCE)]
    assert _hanging(4, wires, [(0, REFERENCE), (2, 3)]) == [1]


@pytest.mark.parametrize(
    ("count", "wires", "loads", "why"),
    [
        (3, [(0, 1), (0, 1), (2, REFERENCE)], [(1, 2)], "two wires on its plus"),
        (2, [(0, 1)], [(1, REFERENCE)], "its minus is the body"),
        (3, [(0, 1), (2, REFERENCE)], [(1, 2), (1, 2)], "two loads on the same terminals"),
        (3, [(0, 1), (2, 0)], [(1, 2)], "both wires at the same place"),
        (2, [(0, 1)], [(0, 1)], "a wire across it"),
        (3, [(0, 1)], [(1, 2)], "nothing on its minus"),
    ],
)
def test_what_serves_something_else_stays(
    count: int, wires: Joints, loads: Joints, why: str
) -> None:
    assert _hanging(count, wires, loads) == [], why


def test_a_tied_node_stays() -> None:
    wires = [(0, 1), (2, 3)]
    assert _hanging(4, wires, [(1, 2)]) == [0]
    assert _hanging(4, wires, [(1, 2)], tied=(2,)) == []


def test_of_loads_one_after_the_other_no_two_hang_on_each_other() -> None:
    # source 0, then two loads in a row by the wires 0-1, 2-3, 4-reference
    wires = [(0, 1), (2, 3), (4, REFERENCE)]
    assert len(_hanging(5, wires, [(1, 2), (3, 4)])) < 2


@pytest.mark.parametrize("seed", range(60))
def test_voltages_are_those_of_all_nodes_together(seed: int) -> None:
    # source: nodal analysis, G v = i, set up densely here and solved by numpy's LU
    random = Random(seed)
    count = random.randint(4, 30)
    wires = [(random.randrange(at) if at else REFERENCE, at) for at in range(count)]
    wires += [
        (random.randrange(count), random.choice([REFERENCE, *range(count)]))
        for _ in range(random.randrange(3))
    ]
    wires = [(a, b) for a, b in wires if a != b]
    siemens = [10 ** random.uniform(0, 4) for _ in wires]
    ends = [(random.randrange(count), random.randrange(count)) for _ in range(8)]
    lines = [
        (p, n, random.choice([-0.3, 0.0, 0.5, 20.0]), random.uniform(-30, 30))
        for p, n in ends
        if p != n
    ]
    for _ in range(random.randint(1, 8)):  # loads that hang: two nodes and two wires of their own
        one, two = random.randrange(count), random.choice([REFERENCE, *range(count)])
        p, n = len(wires) + count, len(wires) + count + 1
        wires += [(one, p), (n, two)]
        lines.append((p, n, random.choice([-0.3, 0.0, 20.0]), random.uniform(-30, 30)))
        siemens += [10 ** random.uniform(0, 4) for _ in range(2)]
    used = sorted({node for wire in wires for node in wire if node >= 0})
    number = {node: at for at, node in enumerate(used)} | {REFERENCE: REFERENCE}
    branches = [(f"r{i}", number[a], number[b]) for i, (a, b) in enumerate(wires)]
    lines = [(number[p], number[n], slope, rest) for p, n, slope, rest in lines]
    elements = [
        nodal.Element(f"e{i}", p, n, nodal.held_law(0.0)) for i, (p, n, _, _) in enumerate(lines)
    ]
    circuit = nodal.circuit([f"n{at}" for at in range(len(used))], branches, elements)
    reduced = Reduced.of(circuit.shape.core, siemens)
    order = circuit.shape.core.order
    at = [random.uniform(0, 14) for _ in order]
    tangents = [
        (lines[place][2] * v + lines[place][3], lines[place][2])
        for place, v in zip(order, at, strict=True)
    ]
    step = reduced.step(at, tangents)
    full = reduced.all_volts(step)

    size = len(used)
    matrix, right = np.zeros((size + 1, size + 1)), np.zeros(size + 1)
    for node in circuit.tied:
        matrix[node, node] += 1.0
    for (_, a, b), g in zip(branches, siemens, strict=True):
        matrix[a, a] += g
        matrix[b, b] += g
        matrix[a, b] -= g
        matrix[b, a] -= g
    for p, n, slope, rest in lines:
        matrix[p, p] += slope
        matrix[n, n] += slope
        matrix[p, n] -= slope
        matrix[n, p] -= slope
        right[p] -= rest
        right[n] += rest
    volts = np.linalg.solve(matrix[:size, :size], right[:size])
    assert circuit.shape.core.hanging
    assert full == pytest.approx([*volts, 0.0], rel=1e-9, abs=1e-9)
    for place, v in zip(order, step.across, strict=True):
        p, n = lines[place][:2]
        assert v == pytest.approx(full[p] - full[n], rel=1e-9, abs=1e-9)
