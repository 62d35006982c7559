"""DC-DC chargers against a circuit simulator that has to find the working point itself."""

from math import inf
from random import Random

import pytest

from domain.electrical.network import converters, nodal
from domain.electrical.network.converters import INPUT, Converter
from domain.reference.planning import planned
from tests.reference.electrical.test_solver_against_spice import WITHIN_V, simulated


def random_charger(random: Random) -> tuple[nodal.Circuit, list[float], Converter, list[str]]:
    """A battery with an alternator, a charger with a ground lead, a second battery and loads.

    Nodes: s the first battery's post, i and o the charger's terminals, g its negative, h the
    second battery's post. The charger gives its rated current or holds its voltage, as it comes.
    """
    ohms = {
        ("s", "i"): random.uniform(0.002, 0.03),
        ("o", "h"): random.uniform(0.002, 0.03),
        ("g", "0"): random.uniform(0.0005, 0.01),
    }
    index = {"s": 0, "i": 1, "o": 2, "g": 3, "h": 4, "0": nodal.REFERENCE}
    eta, limit_a = random.uniform(0.85, 0.95), random.uniform(10, 60)
    charge_v = random.choice((14.2, 14.4))
    rest_v, ohm = random.uniform(12.2, 14.2), random.uniform(0.004, 0.01)
    house_v, house_ohm = random.uniform(12.0, 13.3), random.choice((0.01, 0.05, 0.3))
    load_a = random.uniform(0, 40)
    charger = Converter("d1", charge_v, limit_a, inf, eta)
    laws = converters.laws((charger,))
    elements = [
        nodal.Element("b1", 0, -1, nodal.battery_law(rest_v, ohm, ohm)),
        nodal.Element("b2", 4, -1, nodal.battery_law(house_v, house_ohm, house_ohm)),
        nodal.Element("load", 4, -1, nodal.steady_law(load_a, 5)),
        nodal.Element("d1", 2, 3, laws["d1"]),
        nodal.Element("d1" + INPUT, 1, 3, laws["d1" + INPUT]),
    ]
    branches = [(f"r{n}", index[a], index[b]) for n, (a, b) in enumerate(ohms)]
    droop = planned("alternator_droop_ohm")
    given = f"min(({charge_v!r}-v(o,g))/{droop!r},{limit_a!r})"
    lines = [
        *(f"R{a}{b} {a} {b} {ohm!r}" for (a, b), ohm in ohms.items()),
        f"V1 e1 0 {rest_v!r}",
        f"R1 e1 s {ohm!r}",
        f"V2 e2 0 {house_v!r}",
        f"R2 e2 h {house_ohm!r}",
        f"I1 h 0 {load_a!r}",
        f"B1 g o I={given}",
        f"B2 i g I=v(o,g)*{given}/({eta!r}*v(i,g))",
        *(f".nodeset v({name})=13" for name in "sioh"),
    ]
    circuit = nodal.circuit([*"siogh"], branches, elements)
    siemens = [1 / ohm for ohm in ohms.values()]
    return circuit, siemens, charger, ["* charger", *lines, ".op", ".end", ""]


def test_random_chargers() -> None:
    # source: neospice 0.2.0
    compared = limited = 0
    for seed in range(300):
        circuit, siemens, charger, lines = random_charger(Random(seed))
        solution, _ = converters.settled((charger,), circuit, siemens, [14.4, 14.4, 14.4, 0, 14.4])
        if not solution.converged:
            continue
        at = dict(zip((e.name for e in circuit.elements), solution.element_a, strict=True))
        across = dict(zip((e.name for e in circuit.elements), solution.element_v, strict=True))
        if at["d1"] > -1:
            continue  # the battery behind it is full
        if across["d1" + INPUT] < planned("charger_lowest_v"):
            continue  # its feed is too weak: it gives less, which the netlist does not know
        by_law = (charger.charge_v - across["d1"]) / planned("alternator_droop_ohm")
        if -at["d1"] < min(by_law, charger.limit_a) * (1 - 1e-6):
            continue  # so too where it had to give less on the way
        # closed form: what comes out is the efficiency's share of what goes in
        out_w, in_w = -at["d1"] * across["d1"], at["d1" + INPUT] * across["d1" + INPUT]
        assert out_w == pytest.approx(charger.efficiency * in_w, rel=1e-6)
        result = simulated("\n".join(lines))
        if result is None:
            continue
        compared += 1
        limited += -at["d1"] > charger.limit_a * 0.999
        for name, mine in zip(circuit.nodes, solution.volts, strict=True):
            assert result.voltage(name) == pytest.approx(mine, abs=WITHIN_V), (seed, name)
    assert compared >= 200
    assert 20 <= limited <= compared - 20
