"""Leads against published wire tables, and currents along them against Kirchhoff by numpy."""

from random import Random

import numpy as np
import pytest

from domain.build import actions
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import evaluate
from tests.domain.electrical.small import changed

FOOT_M = 0.3048


def car(amplifiers: int, **values: float) -> Build:
    build = start_build()
    for _ in range(amplifiers):
        build = actions.applied(build, actions.add(build, "amplifiers", **values))
    return build


def test_remote_leads_are_18_awg_and_hold_what_the_table_says() -> None:
    # 33 CFR 183.425 Table 5: 18 AWG, 105 C insulation: 20 A at 30 C; at 50 C sqrt(55 / 75) of it
    for lead in evaluate(car(2)).leads:
        assert lead.gauge == "AWG 18"
        assert lead.holds_a == pytest.approx(20 * (55 / 75) ** 0.5, abs=0.05)


@pytest.mark.parametrize(
    ("feet", "gauge"),
    [(5, "AWG 16"), (24, "AWG 16"), (26, "AWG 14"), (39, "AWG 14"), (41, "AWG 12")],
)
def test_loudspeaker_cable_loses_a_twentieth_at_most(feet: float, gauge: str) -> None:
    # wire table of Lessons in Electric Circuits: 4.016, 2.525, 1.588 ohm per 1000 ft at 16, 14, 12
    # AWG; there and back 5 % of 4 ohm (common practice) are reached at 24.9, 39.6 and 63.0 ft
    build = car(1, channel_w=50.0)
    values = {"kind": "loudspeaker", "source": "a1", "target": "", "name": "Front"}
    build = actions.applied(build, actions.add(build, "leads", **values))
    build = changed(build, ("leads", "w2", "length_m", feet * FOOT_M))
    (lead,) = [each for each in evaluate(build).leads if each.id == "w2"]
    assert lead.gauge == gauge


def test_loudspeaker_cable_holds_the_current_of_a_loud_channel() -> None:
    # I = sqrt(P / R): 2000 W into 4 ohm are 22.4 A; 33 CFR 183.425: 16 AWG holds 25 sqrt(55/75) =
    # 21.4 A at 50 C, 14 AWG 35 sqrt(55/75) = 30.0 A
    build = car(1, channel_w=2000.0)
    values = {"kind": "loudspeaker", "source": "a1", "target": "", "name": "Bass"}
    build = actions.applied(build, actions.add(build, "leads", **values))
    build = changed(build, ("leads", "w2", "length_m", 1.0))
    (lead,) = [each for each in evaluate(build).leads if each.id == "w2"]
    assert lead.gauge == "AWG 14"


@pytest.mark.parametrize("seed", range(8))
def test_currents_along_random_chains_obey_kirchhoff(seed: int) -> None:
    # second method: the incidence matrix of a random tree of leads, solved by numpy
    random = Random(seed)
    size = random.randint(2, 7)
    build = car(size)
    draws = [round(random.uniform(0.0, 0.1), 3) for _ in range(size)]
    parent = [0] + [random.randint(0, place) for place in range(1, size)]
    for place in range(size):
        source = "t1" if parent[place] == 0 else f"a{parent[place]}"
        build = changed(
            build,
            ("leads", f"w{place + 1}", "source", source),
            ("leads", f"w{place + 1}", "draws_a", draws[place]),
        )
    incidence = np.zeros((size, size))
    for place in range(size):
        incidence[place, place] = 1
        if parent[place]:
            incidence[parent[place] - 1, place] = -1
    currents = np.linalg.solve(incidence, np.array(draws))
    sheet = evaluate(build)
    carried = {each.id: each.carries_a for each in sheet.leads}
    for place in range(size):
        assert carried[f"w{place + 1}"] == pytest.approx(currents[place], abs=1e-12)
    assert sheet.remotes[0].devices_a == pytest.approx(sum(draws))
