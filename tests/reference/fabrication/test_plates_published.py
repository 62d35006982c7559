"""Plates by Ritz's method against published plates: sag, moments, frequencies, and statics.

The published figures hold for thin plates in small deflection, as the method does; they come from
double series, not from its polynomials.
"""

from math import pi, sqrt
from typing import Any

import numpy as np
import pytest

from domain.fabrication.strength.folded_plates import Clamp, Device, Fold, Folded, Plate
from domain.fabrication.strength.legendre import gauss, integrals, values
from domain.fabrication.strength.plate_answer import Solution, in_line, solve
from domain.fabrication.strength.plate_energy import Energy, terms
from domain.fabrication.strength.plate_solution import Held

G = 9.80665
E_PA, RHO, T = 200e9, 8000.0, 0.002
UPRIGHT = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def flat(wide: float, long: float, clamps: list[tuple[float, float]], **more: Any) -> Folded:
    """A flat plate of 2 mm steel with screws at these points, of washers ``radius`` large."""
    radius = more.pop("radius", 1e-5)
    t = more.pop("thickness", T)
    return Folded(
        plates=(Plate("n1", (0.0, 0.0, wide, long), (0.0, 0.0, 0.0), UPRIGHT),),
        folds=(),
        clamps=tuple(Clamp(f"h{i}", 0, x, y, radius) for i, (x, y) in enumerate(clamps)),
        devices=more.pop("devices", ()),
        lips=(),
        holes=((),),
        thickness_m=t,
        density_kg_m3=RHO,
        own_kg=wide * long * t * RHO,
    )


def corners(a: float, b: float) -> list[tuple[float, float]]:
    return [(x, y) for x in (0.0, a) for y in (0.0, b)]


class Edged:
    """A plate whose edges are supported by stiff springs along them, solved under its weight."""

    def __init__(self, ratio: float, nu: float, edges: str, clamped: bool) -> None:
        self.a, b = 1.0, ratio
        part = flat(self.a, b, corners(self.a, b))
        energy = Energy(part, E_PA, nu, 11)
        places, weights = gauss(24)
        stiff = 1e9 * energy.rigidity
        for edge in edges:
            at = np.zeros((24, 2))
            on, along = (0, 1) if edge in "lr" else (1, 0)
            size = (self.a, b)
            at[:, along] = (places + 1) / 2 * size[along]
            at[:, on] = size[on] if edge in "rf" else 0.0
            rows = [energy.rows(0, at)[:, 2]]
            if clamped:
                slope = np.zeros_like(rows[0])
                slope[:, :-3] = energy.bent_rows(0, at, *((1, 0) if on == 0 else (0, 1)))
                rows.append(slope)
            for row in rows:
                energy.stiffness += stiff * row.T @ (weights[:, None] * row)
        for still in (-3, -2, -1):
            energy.stiffness[still, still] += stiff
        self.energy, self.nu, self.b = energy, nu, b
        self.moved = np.linalg.solve(energy.stiffness, -G * energy.mass @ energy.shift())[:, 2]

    def sag(self) -> float:
        """Sag of the middle in q a4/D, a the shorter side."""
        row = self.energy.rows(0, np.array([[self.a / 2, self.b / 2]]))[0, 2]
        return float(-row @ self.moved * self.energy.rigidity / (RHO * T * G * self.a**4))

    def frequency(self) -> float:
        """The first, in a2 omega sqrt(rho t/D)."""
        root = np.linalg.solve(self.energy.stiffness, self.energy.mass)
        omega = 1 / sqrt(max(np.linalg.eigvals(root).real))
        return float(omega * self.a**2 * sqrt(RHO * T / self.energy.rigidity))


@pytest.mark.parametrize(
    ("ratio", "roark"),
    # source: Roark's Formulas for Stress and Strain, Table 11.4 case 1a, y = c q b4/(E t3), nu 0.3
    # (read); 12 (1 - nu2) turns it into q a4/D
    [(1.0, 0.0444), (1.2, 0.0616), (1.4, 0.0770), (1.6, 0.0906), (1.8, 0.1017), (2.0, 0.1110)],
)
def test_simply_supported_rectangles(ratio: float, roark: float) -> None:
    plate = Edged(ratio, 0.3, "lrnf", clamped=False)
    assert plate.sag() == pytest.approx(roark / (12 * (1 - 0.3**2)), rel=0.006)


@pytest.mark.parametrize(
    ("ratio", "published"),
    # source: Timoshenko and Woinowsky-Krieger, Table 35, w = c q a4/D, nu 0.3 (from memory)
    [(1.0, 0.00126), (1.2, 0.00172), (1.4, 0.00207), (1.6, 0.00230), (2.0, 0.00254)],
)
def test_clamped_rectangles(ratio: float, published: float) -> None:
    assert Edged(ratio, 0.3, "lrnf", clamped=True).sag() == pytest.approx(published, rel=0.01)


@pytest.mark.parametrize(
    ("edges", "clamped", "published", "tolerance"),
    [
        # source: 2 pi2, exact; Leissa, NASA SP-160: 35.99 and 3.47 (from memory); a cantilever
        # square, 0.4179 Hz converged for 10 m by 0.05 m steel, is 3.471 (read)
        ("lrnf", False, 2 * pi**2, 0.002),
        ("lrnf", True, 35.99, 0.003),
        ("n", True, 3.471, 0.003),
    ],
)
def test_first_frequencies(edges: str, clamped: bool, published: float, tolerance: float) -> None:
    assert Edged(1.0, 0.3, edges, clamped).frequency() == pytest.approx(published, rel=tolerance)


@pytest.mark.parametrize(
    ("nu", "sag", "moment", "frequency"),
    [
        # source: Timoshenko and Woinowsky-Krieger, article 49: 0.0257 and 0.111 at nu 0.25; Cox and
        # Boxer: 7.12 at nu 0.3 (all from memory)
        (0.25, 0.0257, 0.1109, None),
        (0.3, 0.0255, None, 7.12),
    ],
)
def test_square_plate_on_its_corners(
    nu: float, sag: float, moment: float | None, frequency: float | None
) -> None:
    part = flat(1.0, 1.0, corners(1.0, 1.0))
    energy = Energy(part, E_PA, nu)
    held = Held(energy, held=False)
    load = RHO * T * G
    assert held.sag_m() * energy.rigidity / load == pytest.approx(sag, rel=0.003)
    middle = np.array([[0.5, 0.5]])
    xx, yy = (energy.bent_rows(0, middle, *by) @ held.of(0)[:-3] for by in ((2, 0), (0, 2)))
    if moment:
        found = abs(energy.rigidity * (xx + nu * yy)[0, 2]) / load
        assert found == pytest.approx(moment, rel=0.01)
    if frequency:
        found = held.first_mode_hz() * 2 * pi * sqrt(RHO * T / energy.rigidity)
        assert found == pytest.approx(frequency, rel=0.003)


@pytest.mark.parametrize(("a", "b"), [(0.3, 0.2), (0.11, 0.4)])
def test_energies_are_the_integrals_over_the_plate(a: float, b: float) -> None:
    """Kinetic energy rho t/2 times the square of what moves, and Kirchhoff's of bending (Timoshenko
    and Woinowsky-Krieger, article 22), summed point by point by numpy's quadrature (second method).

    The energies themselves use that the polynomials' integrals are known.
    """
    energy = Energy(flat(a, b, []), E_PA, 0.3, 7)
    places, weights = np.polynomial.legendre.leggauss(12)
    at = np.array([((x + 1) * a / 2, (y + 1) * b / 2) for x in places for y in places])
    area = np.outer(weights, weights).ravel() * a * b / 4
    rows = energy.rows(0, at)
    mass = RHO * T * np.einsum("p,pki,pkj->ij", area, rows, rows)
    assert np.allclose(energy.mass, mass, atol=1e-9 * abs(mass).max())
    xx, yy, xy = energy.many_rows(0, at, (2, 0), (0, 2), (1, 1))
    bent = np.einsum("p,pi,pj->ij", area, xx + yy, xx + yy)
    twist = np.einsum("p,pi,pj->ij", area, xx, yy) - np.einsum("p,pi,pj->ij", area, xy, xy)
    stiff = energy.rigidity * (bent - (1 - 0.3) * (twist + twist.T))
    assert np.allclose(energy.stiffness[:-3, :-3], stiff, atol=1e-9 * abs(stiff).max())
    assert not energy.stiffness[-3:].any()


def test_nine_polynomials_are_enough_and_turning_does_not_matter() -> None:
    screws = [(0.02, 0.02), (0.28, 0.02), (0.02, 0.18), (0.28, 0.18), (0.15, 0.1)]
    part = flat(0.3, 0.2, screws, radius=0.005)
    turned = flat(0.2, 0.3, [(y, x) for x, y in screws], radius=0.005)
    assert terms(1) == 9
    nine, twelve = (Held(Energy(part, E_PA, 0.3, n), held=False) for n in (9, 12))
    other = Held(Energy(turned, E_PA, 0.3), held=False)
    assert nine.sag_m() == pytest.approx(twelve.sag_m(), rel=0.05)
    assert nine.first_mode_hz() == pytest.approx(twelve.first_mode_hz(), rel=0.05)
    assert nine.sag_m() == pytest.approx(other.sag_m(), rel=1e-6)
    assert nine.stress_pa()[0] == pytest.approx(other.stress_pa()[0], rel=1e-6)


def device(x: float, y: float, mass: float, height: float, feet: float) -> Device:
    four = tuple((x + i * feet, y + j * feet) for i in (-1, 1) for j in (-1, 1))
    return Device(0, x, y, mass, height, (2 * feet, 2 * feet, 2 * height), 0.0, four, 0.004)


@pytest.mark.parametrize("held", [True, False])
def test_all_that_pulls_is_held_by_the_screws(held: bool) -> None:
    # statics: forces add up to the weight, along each axis; and so do the moments about the corner
    screws = [(0.02, 0.03), (0.28, 0.02), (0.05, 0.18), (0.27, 0.15)]
    box = device(0.1, 0.12, 2.0, 0.05, 0.03)
    solved = Held(Energy(flat(0.3, 0.2, screws, radius=0.006, devices=(box,)), E_PA, 0.3), held)
    total, about_x = np.zeros((3, 3)), np.zeros(3)
    for clamp, spring in solved.clamps:
        force = solved._reaction(clamp, spring)
        total += force[[0, 1, 3]]
        about_x += force[3] * clamp.y_m + (force[5] if held else 0.0)
    own = 0.3 * 0.2 * T * RHO
    assert total == pytest.approx((2.0 + own) * G * np.eye(3), rel=1e-4, abs=1e-3)
    # pulled down: weight times its place; pulled along y: the device's weight times its height
    assert about_x[2] == pytest.approx(G * (2.0 * 0.12 + own * 0.1), rel=1e-4)
    assert about_x[1] == pytest.approx(-G * 2.0 * 0.05, rel=1e-3)


def test_narrow_l_held_at_its_toe() -> None:
    # source: Timoshenko and Young, L frame: P b2 a/EI + P b3/3EI for a force at the height b of an
    # upright on a base a; no sheet of its own, so that only the load counts
    a, b, wide, t = 0.1, 0.08, 0.01, 0.001
    base = Plate("n1", (0.0, 0.0, wide, a), (0.0, 0.0, 0.0), UPRIGHT)
    up = Plate("n2", (0.0, 0.0, wide, b), (0.0, a, 0.0), ((1, 0, 0), (0, 0, 1), (0, -1, 0)))
    fold = Fold(0, 1, (((0.0, a), (wide, a)), ((0.0, 0.0), (wide, 0.0))), (0.0, 1.0), wide, t)
    toe = tuple(Clamp(f"h{i}", 0, x, 0.0, 1e-3) for i, x in enumerate((0.001, 0.009)))
    tip = Device(1, wide / 2, b, 1.0, 0.0, (1e-6,) * 3, 0.0, ((0.0, b), (wide, b)), 1e-3)
    part = Folded((base, up), (fold,), toe, (tip,), (), ((), ()), t, 1e-3, 1e-9)
    energy = Energy(part, E_PA, 0.0)
    rows = energy.rows(0, np.array([[x, 0.0] for x in np.linspace(0, wide, 9)]))[:, 2]
    slope = np.zeros_like(rows)
    slope[:, :-3] = energy.bent_rows(0, np.array([[x, 0.0] for x in np.linspace(0, wide, 9)]), 0, 1)
    for row in (rows, slope):
        energy.stiffness[energy.span(0), energy.span(0)] += 1e9 * energy.rigidity * row.T @ row
    held = Held(energy, held=False)
    moved = energy.rows(1, np.array([[wide / 2, b]]))[0, 2] @ held.of(1)
    ei = E_PA * wide * t**3 / 12
    by_hand = G * (b * b * a / ei + b**3 / (3 * ei))
    assert abs(moved[1]) == pytest.approx(by_hand, rel=0.005)


def test_polynomials_are_integrated_exactly() -> None:
    # second method: Gauss and Legendre's rule with more points than the degree needs
    places, weights = gauss(20)
    plain, first, second = values(9, places)
    for found, (one, other) in zip(
        integrals(9),
        ((plain, plain), (first, first), (second, second), (second, plain)),
        strict=True,
    ):
        assert found == pytest.approx(one.T @ (weights[:, None] * other), abs=1e-8)


def test_what_keeps_a_plate_from_tipping() -> None:
    plate = flat(0.3, 0.1, [(0.02, 0.05), (0.15, 0.051), (0.28, 0.05)], radius=0.005)
    assert in_line(plate)
    assert in_line(flat(0.3, 0.1, [(0.02, 0.02), (0.28, 0.08)]))
    assert not in_line(flat(0.3, 0.1, [(0.02, 0.02), (0.28, 0.02), (0.15, 0.09)], radius=0.005))
    found = solve(plate, E_PA, 0.3, flush=False)
    assert isinstance(found, Solution)
    assert found.clamped
    assert solve(flat(0.3, 0.1, []), E_PA, 0.3, flush=False) is None
