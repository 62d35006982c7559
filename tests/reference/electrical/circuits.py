"""Small networks by hand, for the checks of the solver."""

from collections.abc import Mapping, Sequence
from math import inf

from domain.electrical.loads import Load
from domain.electrical.network import nodal

Branch = tuple[str, str, float]
"""Two node names ("0" is the reference) and the resistance between them [ohm]."""

Between = tuple[str, str, nodal.Law]
"""Two node names, positive first, and the law of the element between them."""


def solved(
    branches: Sequence[Branch], elements: Sequence[Between], highest_v: float
) -> tuple[dict[str, float], nodal.Solution]:
    """Node voltages by name, and the whole solution, of a network that settles."""
    pairs = [branch[:2] for branch in branches] + [element[:2] for element in elements]
    names = list(dict.fromkeys(name for pair in pairs for name in pair if name != "0"))
    index = {name: i for i, name in enumerate(names)} | {"0": nodal.REFERENCE}
    circuit = nodal.circuit(
        names,
        [(f"r{i}", index[a], index[b]) for i, (a, b, _) in enumerate(branches)],
        [nodal.Element(f"x{i}", index[a], index[b], law) for i, (a, b, law) in enumerate(elements)],
    )
    siemens = [1 / ohm for _, _, ohm in branches]
    solution = nodal.solve(circuit, siemens, [highest_v] * len(names))
    assert solution.converged
    return dict(zip(names, solution.volts, strict=True)), solution


def distributor(
    supply_v: float, sections_ohm: Sequence[float], taps_a: Sequence[float]
) -> list[float]:
    """Voltages at the taps of a two-wire distributor fed at one end [V].

    ``sections_ohm`` are the resistances of one conductor from tap to tap.
    """
    branches: list[Branch] = []
    elements: list[Between] = [("p0", "0", nodal.held_law(supply_v, 1e-9))]
    for i, (ohm, amperes) in enumerate(zip(sections_ohm, taps_a, strict=True)):
        branches.append((f"p{i}", f"p{i + 1}", ohm))
        branches.append((f"n{i}" if i else "0", f"n{i + 1}", ohm))
        elements.append((f"p{i + 1}", f"n{i + 1}", nodal.steady_law(amperes, 0.1)))
    volts, _ = solved(branches, elements, supply_v)
    return [volts[f"p{i + 1}"] - volts[f"n{i + 1}"] for i in range(len(taps_a))]


def power_load(watts: float, lowest_v: float, idle_a: float = 0.0) -> nodal.Law:
    """A load that asks for constant power [W] down to its lowest voltage."""
    return nodal.load_law(Load(watts, idle_a, inf, lowest_v, True, 13.5))


def by_name(volts: Mapping[str, float], name: str) -> float:
    """The voltage of a node, the reference included [V]."""
    return 0.0 if name == "0" else volts[name]
