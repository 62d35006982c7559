"""A column of the inverse, worked out where it is asked for."""

from random import Random

import numpy as np
import pytest

from domain.electrical.network import elimination


@pytest.mark.parametrize("seed", range(40))
def test_a_column_against_a_general_library(seed: int) -> None:
    # second method: numpy's inverse of the same matrix; trees with some rings, some nodes loose
    random = Random(seed)
    nodes = random.randint(1, 30)
    pairs = {
        (random.randint(max(0, node - 4), node - 1), node)
        for node in range(1, nodes)
        if random.random() < 0.9
    }
    for _ in range(random.randint(0, 6)):
        a, b = random.randrange(nodes), random.randrange(nodes)
        if a != b:
            pairs.add((min(a, b), max(a, b)))
    matrix = np.diag([random.uniform(0.01, 2.0) for _ in range(nodes)])
    plan = elimination.plan(nodes, frozenset(pairs))
    off = [0.0] * plan.slots
    for a, b in pairs:
        siemens = random.uniform(0.1, 300.0)
        matrix[a, a] += siemens
        matrix[b, b] += siemens
        matrix[a, b] = matrix[b, a] = off[elimination.slot_of(plan, a, b)] = -siemens
    diagonal = [float(each) for each in np.diag(matrix)]
    elimination.factor(plan, diagonal, off)
    inverse = np.linalg.inv(matrix)
    for node in range(nodes):
        column = elimination.Column(plan, diagonal, off, node)
        asked = random.sample(range(nodes), nodes)
        assert [column[at] for at in asked] == pytest.approx(inverse[asked, node], rel=1e-8)
