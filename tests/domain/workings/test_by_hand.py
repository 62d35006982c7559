"""Workings by hand: plain arithmetic on a working's inputs gives its value.

The formulas stand here a second time, written from the text that the working shows.
"""

from math import log, pi, sqrt

import numpy as np
import pytest

from domain.evaluate import make_plan
from domain.reference.csv_tables import load
from domain.workings.context import context
from domain.workings.registry import workings
from domain.workings.working import Figure
from tests.domain.fabrication.making import build_of
from tests.domain.workings.worked import DEMOS, inputs, of, worked


def test_drop_heat_and_mass_by_hand() -> None:
    for _, w in of("estate_car", "run_result", "drop_v"):
        i = inputs(w)
        assert w.value == pytest.approx(i["I"] * i["R"])
    for _, w in of("estate_car", "run_result", "heat_w"):
        i = inputs(w)
        assert w.value == pytest.approx(i["I"] ** 2 * i["R"])
    for _, w in of("estate_car", "run_result", "conductor_kg"):
        i = inputs(w)
        assert w.value == pytest.approx(i["rho"] * i["A"] * 1e-6 * i["L"])


@pytest.mark.parametrize("name", ["estate_car", "camper_van", "11"])
def test_resistance_by_hand(name: str) -> None:
    for _, w in of(name, "run_result", "resistance_ohm"):
        i = inputs(w)
        wire = i["r_20"] * (1 + i["alpha"] * (i["T"] - 20)) * i["L"]
        wire *= i["A"] / i["A_m"] if "A_m" in i else 1.0
        by_hand = wire + i["n"] * i["R_j"] + i.get("m", 0.0) * i.get("R_f", 0.0)
        assert w.value == pytest.approx(by_hand)


@pytest.mark.parametrize("name", ["estate_car", "camper_van", "11"])
def test_ampacity_and_temperature_by_hand(name: str) -> None:
    def lying(i: dict[str, float]) -> float:
        """A tube is in the factors of bundles; a carpet goes on top of what is beyond a tube."""
        covered = i.get("f_c", 1.0)
        return covered * min(1.0, i["f_b"] / i["f_t"]) if "f_t" in i else min(i["f_b"], covered)

    for _, w in of(name, "run_result", "ampacity_a"):
        i = inputs(w)
        zone = max(i["T_ins"] - i["T_air"], 0.0) / (i["T_ins"] - i["T_tab"])
        table = i["I_t"] * lying(i) * i["f_m"] * i.get("f_s", 1.0)
        assert w.value == pytest.approx(table * sqrt(zone))
    for _, w in of(name, "run_result", "temperature_c"):
        i = inputs(w)
        table = i["I_t"] * lying(i) * i["f_m"] * i.get("f_s", 1.0)
        rise = (i["T_ins"] - i["T_tab"]) * (i["I"] / table) ** 2 if table else 0.0
        if table:
            assert w.value == pytest.approx(min(500.0, i["T_air"] + rise))


def test_area_by_the_definition_of_awg() -> None:
    # ASTM B258: AWG 36 is 0.005 in, AWG 4/0 is 0.46 in, 39 equal ratios between.
    for _, w in of("estate_car", "run_result", "area_mm2"):
        d = 0.005 * 25.4 * (0.46 / 0.005) ** ((36 - inputs(w)["n"]) / 39)
        assert w.value == pytest.approx(pi / 4 * d * d)


@pytest.mark.parametrize("name", [*DEMOS, "3"])
def test_amplifier_current_by_hand(name: str) -> None:
    levels = [("amplifier_load", "design_a"), ("amplifier_load", "programme_a")]
    for kind, field in [*levels, ("network_state", "amplifier_a")]:
        for _, w in of(name, kind, field):
            i = inputs(w)
            if i["V"] < i["V_low"]:
                continue
            # other loads: eta of an inverter; current or resistance by the voltage V_s as stated
            drawn = i["x"] * i["P"] / i.get("eta_x", i.get("eta", 1.0))
            if "V_s" in i:
                drawn *= i["V"] / i["V_s"] ** 2 if "V_s^2" in w.formula else 1 / i["V_s"]
            else:
                drawn = drawn * i["V"] / i["V_ref"] ** 2 if "V_ref" in i else drawn / i["V"]
            drawn = min(drawn + i["I_0"], i.get("I_cap", 1e9))
            assert w.value == pytest.approx(drawn + i.get("G", 0.0) * i["V"], rel=1e-9)


@pytest.mark.parametrize("name", [*DEMOS, "8"])
def test_nodes_balance(name: str) -> None:
    # Kirchhoff: what meets at a node adds up to nothing, to what rounding leaves of 1000 A.
    plan = worked(name)
    for state in plan.sheet.states:
        solved = context(plan).state(state.id)
        assert state.converged
        for node in state.node_v:
            assert sum(f.amperes for f in solved.leaving(node)) == pytest.approx(0, abs=1e-6)


def test_node_voltage_and_current_by_hand() -> None:
    for figure, w in of("camper_van", "network_state", "node_v"):
        i = inputs(w)
        siemens = sum(v for symbol, v in i.items() if symbol.startswith("G "))
        norton = sum(v for symbol, v in i.items() if symbol.startswith("J "))
        assert w.value == pytest.approx(norton / siemens, abs=1e-9), figure
    for _, w in of("camper_van", "network_state", "current_a"):
        i = inputs(w)
        assert w.value == pytest.approx((i["V_a"] - i["V_b"]) / i["R"])
    for _, w in of("camper_van", "network_state", "battery_a"):
        i = inputs(w)
        assert w.value == pytest.approx((i["V_0"] - i["V"]) / i["R"])


def test_power_adds_up() -> None:
    plan = worked("estate_car")
    for state in plan.sheet.states:
        found = {
            field: workings(plan, Figure("network_state", state.id, field))
            for field in ("source_w", "load_w", "heat_w")
        }
        sums = {field: sum(inputs(w).values()) for field, w in found.items()}
        assert sums["source_w"] == pytest.approx(sums["load_w"] + sums["heat_w"], rel=1e-9)


@pytest.mark.parametrize("name", [*DEMOS, "3"])
def test_faults_and_withstand_by_hand(name: str) -> None:
    for _, w in of(name, "fuse_study", "fault_near_a"):
        i = inputs(w)
        # the two ends of the wire and the four currents there as six plain equations
        r_f, r_r, r_w = i["R_f"], i["R_r"], i["R_r"] - i["R_f"]
        rows = [
            [1, 0, i["Z_1"], i["Z_12"], -i["Z_1"], i["Z_12"]],  # U_1 + Z i = V_1
            [0, 1, i["Z_12"], i["Z_2"], -i["Z_12"], i["Z_2"]],  # U_2 + Z i = V_2
            [1, 0, -r_f, 0, 0, 0],  # through the fuse into the short
            [0, 1, 0, -r_w, 0, 0],  # through the rest of the wire into it
            [1, -1, 0, 0, -r_r, 0],  # what the whole wire took at the near end ...
            [1, -1, 0, 0, 0, -r_r],  # ... and gave at the far one
        ]
        through = np.linalg.solve(rows, [i["V_1"], i["V_2"], 0, 0, 0, 0])[2]
        assert through == pytest.approx(i["I_f"])
        assert w.value == pytest.approx(i["q"] * through + i["I_g"])
    for _, w in of(name, "fuse_study", "fault_far_a"):
        i = inputs(w)
        across = i["U_a"] - i["U_b"] - (i["Z_a"] - i["Z_b"]) * i["V"] / i["R"]
        assert w.value == pytest.approx(abs(across) / i["R_r"])
    for _, w in of(name, "fuse_study", "stands_far_s"):
        i = inputs(w)
        heat = (i["k"] * i["A"]) ** 2
        short = heat / i["I"] ** 2
        if short <= 5:
            assert w.value == pytest.approx(short)
        elif i["I"] <= i["I_inf"]:
            assert w.value is None
        elif i["I_inf"] > i["I_z"]:
            tau = heat / (i["I_inf"] ** 2 - i["I_z"] ** 2)
            slow = tau * log((i["I"] ** 2 - i["I_z"] ** 2) / (i["I"] ** 2 - i["I_inf"] ** 2))
            assert w.value == pytest.approx(max(short, slow))


def test_play_time_by_peukert() -> None:
    for name in ("estate_car", "hatchback", "camper_van"):
        plan = worked(name)
        (_, w), *_ = of(name, "supply", "play_minutes")
        i = inputs(w)
        hours = i["H"] * (i["C"] / (i["I"] * i["H"])) ** i["k"]
        assert w.value == pytest.approx(hours * 60 * 0.3)  # from 80 % to half
        # by the wiring: with the isolator open only this battery's own loads count
        state = plan.sheet.state("off-programme")
        assert state is not None
        assert i["I"] in [pytest.approx(state.battery_a[b.id]) for b in plan.build.batteries]


def test_flat_pattern_by_hand() -> None:
    for field in ("flat_length_m", "area_m2", "bend_allowance_m"):
        for figure, w in of("camper_van", "part_result", field):
            i = inputs(w)
            if field == "bend_allowance_m":
                bends = [symbol.split()[1] for symbol in i if symbol.startswith("angle")]
                by_hand = sum(
                    pi / 180 * i[f"angle {n}"] * (i[f"r {n}"] + i["K"] * i["t"]) for n in bends
                )
            else:
                by_hand = sum(-v if symbol.startswith("H ") else v for symbol, v in i.items())
            assert w.value == pytest.approx(by_hand), figure


def test_what_is_bought_covers_what_is_needed() -> None:
    for figure, w in of("estate_car", "material_line", "quantity"):
        i = inputs(w)
        if "S" in i:  # sheets: no fewer than their area
            blanks = sum(value for symbol, value in i.items() if symbol.startswith("A "))
            assert isinstance(w.value, float)
            assert w.value * i["S"] >= blanks, figure
            continue
        spares = -(-i["n"] // 2) if "spares" in w.formula else 0
        step = i.get("s", 1.0)
        assert isinstance(w.value, float)
        assert i["n"] - 1e-9 <= w.value - spares < i["n"] + step, figure


@pytest.mark.parametrize("name", [*DEMOS, "3", "8"])
def test_fuse_is_the_next_standard_rating(name: str) -> None:
    # Ratings of the ISO 8820 families as in the table, from memory.
    for _, w in of(name, "run_result", "fuse_a"):
        i = inputs(w)
        if "I_f" not in i:
            continue
        family = next(str(each.value) for each in w.inputs if each.symbol == "family")
        ratings = [
            float(row["rated_a"])
            for row in load("fuse_ratings", ("family", "rated_a", "breaking_a"))
            if row["family"] == family
        ]
        least = min((r for r in ratings if r >= i["I_f"] - 1e-6), default=max(ratings))
        if "I_k" in i and i["I_k"] < least:
            # What flows rose after the last round, as voltages collapsed: a STOP says so.
            assert w.value == i["I_k"]
            assert any(f.code == "collapse" for f in worked(name).sheet.findings)
            continue
        assert w.value == max(least, i.get("I_k", 0.0))
        if "I_k" in i:
            # Only a rating next to the least one can be what sizing went to and fro between.
            assert i["I_k"] == ratings[ratings.index(least) + 1]


@pytest.mark.parametrize("name", DEMOS)
def test_a_battery_gives_through_its_own_resistance_and_takes_as_it_accepts(name: str) -> None:
    # Ohm's law: below its rest voltage it gives; above it charges, and acceptance holds it back
    shown = set()
    for _, w in of(name, "network_state", "battery_a"):
        said = next(i.meaning for i in w.inputs if i.symbol == "R")
        assert isinstance(w.value, float)
        gives = inputs(w)["V"] < inputs(w)["V_0"]
        assert (w.value > 0) is gives
        assert said.startswith("internal resistance" if gives else "what limits charging")
        shown.add(gives)
    assert shown == {True, False}


def test_reach_of_a_pattern_by_hand() -> None:
    # by hand: a plate of 100 mm with flat flaps 50 and 20 mm to the left, 40 to the right, 30 up
    # and 25 down: 190 wide and 155 long, counted from the plate's lower left corner
    flaps = {"left": 0.05, "right": 0.04, "far": 0.03, "near": 0.025}
    panels: list[dict[str, object]] = [{"id": "n1", "length_m": 0.1, "width_m": 0.1}]
    panels += [
        {"id": f"n{k}", "joins": "n1", "edge": edge, "length_m": long, "width_m": 0.1,
         "bend_deg": 0.0}
        for k, (edge, long) in enumerate(flaps.items(), 2)
    ]  # fmt: skip
    plan = make_plan(build_of(panels))
    for field, reach in (
        ("flat_width_m", {"E n3": 0.14, "D n2": 0.05}),
        ("flat_length_m", {"E n4": 0.13, "D n5": 0.025}),
    ):
        working = workings(plan, Figure("part_result", "p1", field))
        assert inputs(working) == pytest.approx(reach)
        assert working.value == pytest.approx(sum(reach.values()))
