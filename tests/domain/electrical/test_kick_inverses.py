"""Newton's steps for many cases from few inverses, against a dense solve of each."""

import numpy as np
import pytest
from numpy.typing import NDArray

from domain.electrical.transient import inverses
from domain.electrical.transient.integrate import moves_on
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
        self.volts = random.uniform(11, 14, size=(count, PORTS))
        self.amps = random.normal(size=(count, PORTS))
        self.all = np.ones(count, dtype=bool)

    def moved(self, slopes: NDArray[np.float64]) -> NDArray[np.float64]:
        """The second method: each case solved by itself."""
        found = []
        for row, slope in enumerate(slopes):
            ohms = self.tables[row // CASES]
            jacobian = np.eye(PORTS) + ohms * (slope - self.fixed[row])
            missed = self.volts[row] + ohms @ (self.amps[row] - self.fixed[row] * self.volts[row])
            found.append(np.linalg.solve(jacobian, missed))
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
        exact = drawn.moved(slopes)
        near = inverses.NEARLY * PORTS * abs(exact).max()
        assert abs(steps.step(drawn.volts, drawn.amps) - exact).max() < near
        if not others:
            assert steps.step(drawn.volts, drawn.amps) == pytest.approx(exact, abs=1e-12)


def test_steps_are_made_anew_only_where_slopes_have_changed() -> None:
    drawn = Drawn(3)
    first = drawn.ohms.steps(KEY, drawn.slopes, drawn.all)
    assert drawn.ohms.steps(KEY, drawn.slopes * 1.0001, drawn.all) is first
    assert drawn.ohms.steps((2e-3, False), drawn.slopes, drawn.all) is not first
    other = drawn.slopes.copy()
    other[7, 2] *= 3
    # a case that has failed is not looked at; one that stands is, and its slopes are put right
    assert drawn.ohms.steps(KEY, other, np.arange(len(other)) != 7) is first
    made = drawn.ohms.steps(KEY, other, drawn.all)
    assert made is not first
    assert not made.changed(other).any()
    assert drawn.ohms.steps(KEY, other, drawn.all, fresh=True) is not made


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
    inverse, solve = np.linalg.inv, np.linalg.solve

    def inverted(matrix: NDArray[np.float64]) -> NDArray[np.float64]:
        nonlocal flops
        flops += 2 * matrix.size * matrix.shape[-1]
        return inverse(matrix).astype(np.float64)

    def solved_for(matrix: NDArray[np.float64], right: NDArray[np.float64]) -> NDArray[np.float64]:
        nonlocal flops
        flops += 2 * matrix.size * (matrix.shape[-1] / 3 + right.shape[-1])
        return solve(matrix, right).astype(np.float64)

    monkeypatch.setattr(np.linalg, "inv", inverted)
    monkeypatch.setattr(np.linalg, "solve", solved_for)
    study = kick_study(solved)
    assert study is not None
    assert study.edge is not None
    assert flops < 100e6, flops / 1e6


def test_rounds_end_where_the_next_would_move_next_to_nothing() -> None:
    moved = np.array([[9e-8, 0.0], [2e-6, 1e-9], [2e-6, 1e-9], [np.nan, 0.0]])
    assert list(moves_on(moved, None)) == [False, True, True, True]
    # by as much less again: 1e-3 to 2e-6 to 4e-9, and 1e-4 to 2e-6 to 4e-8
    last = np.array([[1e-3, 1e-3], [1e-2, 1e-6], [1e-4, 1e-6], [1e-3, 1e-3]])
    assert list(moves_on(moved, last)) == [False, False, True, True]
    # one port that shrinks slowly is enough, however little it moves beside the others
    moved, last = np.array([[1e-6, 5e-8]]), np.array([[1e-2, 1e-7]])
    assert list(moves_on(moved, last)) == [True]
