"""DC-DC chargers: what one gives at its output it takes, with what it loses, at its input.

A charger holds its charging voltage at the output, up to its rated current; at the input it is a
load of constant power, that of the output over its efficiency. Its current at the input may have
a limit too, which then lowers the output. Both meet at its negative terminal. Input and output
hang together, so that the network is solved again until what one takes is what the other gives.
"""

from collections.abc import Sequence
from functools import lru_cache
from math import inf

from msgspec import Struct
from msgspec.structs import replace

from domain.build.choices import BlockKind, Chemistry, Isolates
from domain.build.records import Block, Build
from domain.electrical.loads import Load
from domain.electrical.network import nodal
from domain.electrical.network.wiring import Wiring, wiring
from domain.reference.planning import planned

INPUT = "<"
"""Behind the id of a charger: its input as an element of the network."""

SETTLED_W = 1e-7
"""What an input takes has settled when it moves by no more than this [W]."""

NEARLY_W = 0.1
MOST_TURNS = 60
"""Turns in which inputs settle; three or four do. Within ``NEARLY_W`` it counts as settled."""


class Converter(Struct, frozen=True):
    """A DC-DC charger: voltage held at its output, limits there and at its input, efficiency."""

    id: str
    charge_v: float
    limit_a: float
    input_a: float
    efficiency: float

    def takes_a(self, given_a: float, input_v: float) -> float:
        """Current at its input while it gives a current at its charging voltage [A].

        I_in = V_out I_out / (eta V_in), never above its limit there.
        """
        return min(given_a * self.charge_v / (self.efficiency * input_v), self.input_a)


def is_converter(block: Block) -> bool:
    """Whether a block is a DC-DC charger."""
    return block.kind is BlockKind.ISOLATOR and block.isolates is Isolates.CONVERTER


def charge_v(chemistry: Chemistry) -> float:
    """Voltage that a charger gives a battery of this chemistry, if nobody says otherwise [V]."""
    return planned(f"charger_v_{chemistry.value}")


def converters(build: Build) -> tuple[Converter, ...]:
    """The DC-DC chargers of a build, each set for the battery that it charges."""
    blocks = tuple(block for block in build.blocks if is_converter(block))
    if not blocks:
        return ()
    joined = wiring(build)
    return tuple(_converter(block, _charges(build, joined, block)) for block in blocks)


def _charges(build: Build, joined: Wiring, block: Block) -> Chemistry:
    """The chemistry of the battery behind a charger; AGM where there is none."""
    behind = {run.id for run in build.runs if run.source == block.id}
    for battery in build.batteries[1:]:
        if behind & set(joined.links.get(battery.id, ())):
            return battery.chemistry
    return Chemistry.AGM


@lru_cache(maxsize=256)
def _converter(block: Block, chemistry: Chemistry) -> Converter:
    return Converter(
        block.id,
        charge_v(chemistry) if block.charge_v is None else block.charge_v,
        block.rated_a or inf,
        block.input_a or inf,
        planned("charger_efficiency") if block.efficiency is None else block.efficiency,
    )


def laws(found: Sequence[Converter]) -> dict[str, nodal.Law]:
    """The laws of chargers at work, by element: the output up to its limit, the input idle yet."""
    droop = planned("alternator_droop_ohm")
    outputs = {c.id: nodal.alternator_law(c.charge_v, droop, c.limit_a) for c in found}
    return outputs | {c.id + INPUT: nodal.steady_law(0.0, 1.0) for c in found}


def settled(
    found: Sequence[Converter],
    circuit: nodal.Circuit,
    siemens: Sequence[float],
    start: Sequence[float],
    near: bool = False,
    met_a: float = nodal.MET_A,
) -> tuple[nodal.Solution, nodal.Circuit]:
    """A network with its chargers solved, and its circuit with what their inputs take.

    Arguments as of ``nodal.solve``.
    """
    present = {element.name for element in circuit.elements} if found else set()
    at_work = [c for c in found if c.id in present]
    watts = dict.fromkeys((c.id for c in at_work), 0.0)
    limits = {c.id: c.limit_a for c in at_work}
    if at_work:
        circuit = _with(circuit, at_work, watts, limits)
    solution = nodal.solve(circuit, siemens, start, near, met_a)
    if not at_work:
        return solution, circuit
    moved, lowest_v = inf, planned("charger_lowest_v")
    settled_once = False
    for _ in range(MOST_TURNS):
        moved = 0.0
        at = {
            element.name: (v, i)
            for element, v, i in zip(
                circuit.elements, solution.element_v, solution.element_a, strict=True
            )
        }
        for c in at_work:
            (out_v, out_a), (in_v, in_a) = at[c.id], at[c.id + INPUT]
            wanted = max(-out_v * out_a, 0.0) / c.efficiency
            if settled_once and in_v < lowest_v:  # its feed cannot bring so much: it gives less
                wanted = min(wanted, in_v * in_a)
                limits[c.id] = min(limits[c.id], c.efficiency * wanted / max(out_v, 1.0))
            if c.input_a < inf:
                most_w = c.input_a * max(in_v, 0.0)
                limits[c.id] = min(limits[c.id], c.efficiency * most_w / max(out_v, 1.0))
                wanted = min(wanted, most_w)
            moved = max(moved, abs(wanted - watts[c.id]))
            watts[c.id] = wanted
        if moved <= SETTLED_W:
            if settled_once or all(at[c.id + INPUT][0] >= lowest_v for c in at_work):
                break
            settled_once = True
            continue
        circuit = _with(circuit, at_work, watts, limits)
        solution = nodal.solve(circuit, siemens, start)
    if moved > NEARLY_W:
        solution = replace(solution, converged=False)
    return solution, circuit


def _with(
    circuit: nodal.Circuit,
    at_work: Sequence[Converter],
    watts: dict[str, float],
    limits: dict[str, float],
) -> nodal.Circuit:
    droop, lowest_v = planned("alternator_droop_ohm"), planned("charger_lowest_v")
    new: dict[str, tuple[nodal.Law, tuple[float, ...]]] = {}
    for c in at_work:
        limit = limits[c.id]
        knees = (c.charge_v - droop * limit, c.charge_v) if limit < inf else (c.charge_v,)
        new[c.id] = nodal.alternator_law(c.charge_v, droop, limit), knees
        asked = Load(watts[c.id], 0.0, inf, lowest_v, True, c.charge_v)
        new[c.id + INPUT] = nodal.load_law(asked), ()
    elements = tuple(
        nodal.Element(e.name, e.positive, e.negative, *new.get(e.name, (e.law, e.knees)))
        for e in circuit.elements
    )
    return replace(circuit, elements=elements)


def both_sides(found: Sequence[Converter]) -> dict[str, str]:
    """The elements of chargers, output and input, and whose they are.

    They are no source and no load: what one side takes the other gives, or it is lost as heat.
    """
    return {name: c.id for c in found for name in (c.id, c.id + INPUT)}
