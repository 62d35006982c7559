"""Newton's steps for many cases from few inverses, against a dense solve of each."""

import numpy as np
import pytest
from numpy.typing import NDArray

from domain.electrical.transient import inverses
from domain.electrical.transient.inverses import Ohms
from domain.electrical.transient.study import kick_study
from domain.evaluate import make_plan
from tests.benchmarks.builds import twelve

PORTS, TABLES, CASES = 20, 3, 4
KEY = (1e-3, False)


class Drawn:
    """Cases with random resistances, ``CASES`` of each table, and slopes at their ports [S]."""

    def __init__(self, seed: int) -> None:
        random = np.random.default_rng(seed)
        self.tables = []
        for _ in range(TABLES):
            half = random.normal(size=(PORTS, PORTS))
            self.tables.append(0.01 * (half @ half.T) / PORTS)
        spans = [slice(CASES * n, CASES * (n + 1)) for n in range(TABLES)]
        count = CASES * TABLES
        self.fixed = np.full((count, PORTS), 0.01)
        self.ohms = Ohms(list(zip(spans, self.tables, strict=True)), self.fixed)
        self.slopes = np.tile(random.uniform(1, 40, size=PORTS), (count, 1))
        self.missed = random.normal(size=(count, PORTS))
        self.all = np.ones(count, dtype=bool)

    def moved(self, slopes: NDArray[np.float64]) -> NDArray[np.float64]:
        """The second method: each case solved by itself."""
        found = []
        for row, slope in enumerate(slopes):
            jacobian = np.eye(PORTS) + self.tables[row // CASES] * (slope - self.fixed[row])
            found.append(np.linalg.solve(jacobian, self.missed[row]))
        return np.array(found)


@pytest.mark.parametrize("others", [0, 3, PORTS])
def test_a_step_is_that_of_a_dense_solve(others: int) -> None:
    # source: numpy.linalg.solve (LAPACK), case by case
    for seed in range(5):
        drawn = Drawn(seed)
        drawn.ohms.steps(KEY, drawn.slopes, drawn.all)
        slopes = drawn.slopes.copy()
        slopes[:, :others] *= np.random.default_rng(seed).uniform(0, 3, size=(len(slopes), others))
        steps = drawn.ohms.steps(KEY, slopes, drawn.all)
        assert not steps.changed(slopes).any()
        # what is off by less than ``NEARLY`` is left as it is
        near = inverses.NEARLY * PORTS * abs(drawn.missed).max()
        assert abs(steps.step(drawn.missed) - drawn.moved(slopes)).max() < near
        if not others:
            assert steps.step(drawn.missed) == pytest.approx(drawn.moved(slopes), abs=1e-12)


def test_a_part_that_shuts_is_seen() -> None:
    # a diode that has shut: the step of one that conducts would move it by next to nothing
    drawn = Drawn(1)
    drawn.slopes[5, 0] = 200.0
    steps = drawn.ohms.steps(KEY, drawn.slopes, drawn.all)
    shut = drawn.slopes.copy()
    shut[5, 0] = 1e-9
    assert list(np.flatnonzero(steps.changed(shut))) == [5]
    # and seen again as it opens, from steps that were made while it was shut
    steps = drawn.ohms.steps(KEY, shut, drawn.all)
    assert list(np.flatnonzero(steps.changed(drawn.slopes))) == [5]


def test_a_kick_is_followed_with_few_inverses(monkeypatch: pytest.MonkeyPatch) -> None:
    # an inverse for each length of step and case was most of the pack of a large build
    solved = make_plan(twelve()).solved
    flops = 0.0
    inverse = np.linalg.inv

    def counted(matrix: NDArray[np.float64]) -> NDArray[np.float64]:
        nonlocal flops
        flops += 2 * matrix.size * matrix.shape[-1]
        return inverse(matrix).astype(np.float64)

    monkeypatch.setattr(np.linalg, "inv", counted)
    study = kick_study(solved)
    assert study is not None
    assert study.edge is not None
    assert flops < 100e6, flops / 1e6
