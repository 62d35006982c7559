"""Workings of the strength of custom parts by hand: the formula that is shown, on what is shown."""

from math import hypot, pi, sqrt

import pytest

from domain.workings.working import Working
from tests.domain.workings.worked import inputs, of


def answer(field: str, i: dict[str, float]) -> float:
    """A figure from the inputs of its working, by the formula that stands beside it."""
    match field:
        case "load_kg":
            return sum(i.values())
        case "own_mass_kg":
            return i["t"] * i["rho"] * sum(v for name, v in i.items() if name.startswith("A "))
        case "deflection_m":
            return i["n"] * i["s"]
        case "stress_pa":
            return i["n"] * i["S"]
        case "strength_pa":
            return i["f"] * i["S_0"]
        case "margin" | "shaking_margin":
            return i["S"] / i["s"]
        case "lasting_sag_m":
            return i["s"] / i["c"]
        case "lasting_margin":
            return i["l"] * i["S"] / i["s"]
        case "response_ratio":
            return sqrt(pi / 2 * i["f"] * i["Q"] * i["A"]) / i["g"]
        case "shaking_pa":
            return 3 * i["a"] * i["S"]
        case "heat_fraction":
            # source: ISO 75, a bar that has given way by 0.2 % under 1.82 MPa
            left = 1.82e6 / (1.82e6 / i["E"] + 0.002) / i["E"]
            return 1 - (1 - left) * max(0.0, i["T"] - 23) / (i["T_h"] - 23)
    raise KeyError(field)


@pytest.mark.parametrize(
    "field",
    [
        *("load_kg", "own_mass_kg", "deflection_m", "stress_pa", "strength_pa", "margin"),
        *("shaking_margin", "lasting_sag_m", "lasting_margin", "response_ratio", "shaking_pa"),
        "heat_fraction",
    ],
)
def test_strength_by_hand(field: str) -> None:
    for figure, w in of("camper_van", "strength_result", field):
        i = inputs(w)
        if field == "heat_fraction" and "T_h" not in i:
            assert w.value == 1.0, figure
            continue
        assert w.value == pytest.approx(answer(field, i)), figure


def test_screws_by_hand() -> None:
    found: dict[str, dict[str, Working]] = {}
    for field in ("pull_n", "shear_n", "margin"):
        for figure, w in of("camper_van", "screw_load", field):
            found.setdefault(figure.id, {})[field] = w
    for screw, shown in found.items():
        for field in ("pull_n", "shear_n"):
            i = inputs(shown[field])
            assert shown[field].value == pytest.approx(i["n"] * i["F"]), screw
        i = inputs(shown["margin"])
        assert i["T"] == pytest.approx(shown["pull_n"].value)
        assert i["V"] == pytest.approx(shown["shear_n"].value)
        used = [
            # source: distortion energy, shear counts root of three times
            hypot(i["T"], sqrt(3) * i["V"]) / i["T_p"],
            i["T"] / i["T_h"],
            i["V"] / i["V_b"],
            i["V"] / i["V_e"] if "V_e" in i else 0.0,
            # what is behind the part takes pull and shear on the same threads or fibres
            i["T"] / i["T_r"] + i["V"] / i["V_r"] if "T_r" in i else 0.0,
        ]
        assert shown["margin"].value == pytest.approx(1 / max(used), rel=1e-4), screw
