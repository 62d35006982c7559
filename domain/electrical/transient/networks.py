"""A build as the network of a kick: its own nodes, wires and laws at rest, with what is quick.

Premises. The build is at rest before the first hit: its solved network with the bass silent, other
amplifiers at the average of the music, resistances as warm as they are then. A battery's resistance
is part quick, part slow. An alternator's current follows its regulator with a lag; at idle it may
rise slowly only. Relays stay as they are, for they need seconds; a DC-DC charger goes on giving and
taking what it did. The headlamps are filament lamps on a lead of their own from the starter
battery, back through the body, and part of what the vehicle draws; with the engine off they are on
beside it. The inductance of wires bears on the edges of a hit alone: ``edges`` follows it there.
What is tried is joined where the first bass amplifier is fed: a capacitor at its terminals, a
battery like the first one at the block that feeds it.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial
from math import inf
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from domain.build.choices import Playing
from domain.build.records import Alternator, Appliance, Battery
from domain.electrical import capacitors, loads, sources
from domain.electrical.charging import live_alternators, live_batteries
from domain.electrical.network import converters, nodal, states, system
from domain.electrical.network.upper_state import upper_state
from domain.electrical.sizing.size_and_solve import SolvedNetwork
from domain.electrical.transient import parts, remedies
from domain.electrical.transient.integrate import Case, port_ohms
from domain.electrical.transient.parts import Port
from domain.electrical.transient.remedies import Remedy
from domain.electrical.transient.unknowns import Unknowns, between, typical
from domain.reference.planning import planned

LAMPS, CAPACITOR, BATTERY = "lamps", "capacitor", "battery"
"""Names of the headlamps, and of the capacitor and the battery that are tried."""

GIVES_V = 1.0
"""What a DC-DC charger gives fades out below this [V], far from where anything works."""


Played = Mapping[str, tuple[loads.Load, loads.Load]]
"""The amplifiers that play: what each draws at rest and in a hit, by id."""

Made = Callable[[Unknowns], parts.Part]
"""A part, made of what is not known."""


class Place(NamedTuple):
    """Where a part stands between two nodes, and how it is made."""

    name: str
    positive: int
    negative: int
    made: Made


class KickNetwork(Struct, frozen=True):
    """One engine condition and remedy: nodes, conductances [S], and where the parts stand."""

    engine: str
    remedy: Remedy
    nodes: tuple[str, ...]
    branches: tuple[tuple[str, int, int], ...]
    siemens: tuple[float, ...]
    played: Played
    places: tuple[Place, ...] = ()

    def ports(self, unknown: Unknowns) -> list[Port]:
        """The parts with these unknown values, in the order of their kinds."""
        return [Port(*place[:3], place.made(unknown)) for place in self.places]

    def circuit(self, ports: Sequence[Port]) -> nodal.Circuit:
        """The network with these parts at rest."""
        return nodal.circuit(self.nodes, self.branches, parts.elements(ports))


def beaten(solved: SolvedNetwork) -> Played:
    """The amplifiers that play the kick and that a battery feeds: their loads at rest and hit."""
    fed = {taker.id for taker in takers_fed(solved)}
    return {
        id: pair
        for id, pair in remedies.beat_loads(solved.wired.build).items()
        if id in fed and pair[1].power_w > pair[0].power_w
    }


def kick_network(
    solved: SolvedNetwork, engine: str, remedy: Remedy, played: Played | None = None
) -> KickNetwork:
    """The network of a build with the engine "cruise", "idle" or "off", and something tried.

    ``played`` are the amplifiers that play and what they draw; without it the kick drum is played.
    """
    played = beaten(solved) if played is None else played
    wired = solved.wired
    build, circuit = wired.build, wired.circuit
    ohms = wired.programme_ohm
    if remedy.thicker:
        ohms = remedies.thicker_ohm(solved, list(played), ohms)
    state = next(s for s in solved.states if s.id == f"{engine}-programme")
    values = system.siemens(build, wired.wiring, ohms, engine != "off", True, state.parted)
    starter = live_batteries(build)[0].id
    node = len(circuit.nodes)
    lead = (LAMPS, circuit.nodes.index(f"{starter}_pos"), node)
    found = KickNetwork(
        engine,
        remedy,
        (*circuit.nodes, LAMPS),
        (*circuit.branches, lead),
        (*values, 1 / planned("lamp_lead_ohm")),
        played,
    )
    found = replace(found, places=in_order(_places(solved, found)))
    chargers = converters.converters(build)
    if not chargers:
        return found
    return replace(found, places=in_order([*found.places, *_held(solved, found, chargers)]))


def in_order(places: Iterable[Place]) -> tuple[Place, ...]:
    """In the order of their kinds."""
    known = typical()
    return tuple(sorted(places, key=lambda each: parts.KINDS.index(type(each.made(known)))))


def always(part: parts.Part) -> Made:
    """A part of which all is known."""
    return lambda unknown: part


def _held(
    solved: SolvedNetwork, network: KickNetwork, chargers: Sequence[converters.Converter]
) -> Iterator[Place]:
    """The sides of DC-DC chargers, with what they draw at rest: nothing with the engine off."""
    both = converters.both_sides(chargers)
    own = [e for e in solved.wired.circuit.elements if e.name in both]
    if network.engine == "off":
        none = loads.Load(0.0, 0.0, inf, GIVES_V, True, planned("design_v"))
        for e in own:
            yield Place(e.name, e.positive, e.negative, always(parts.Drawn(none, none)))
        return
    laws = converters.laws(chargers)
    idle = [nodal.Element(e.name, e.positive, e.negative, laws[e.name]) for e in own]
    elements = parts.elements(network.ports(typical()))
    circuit = nodal.circuit(network.nodes, network.branches, [*elements, *idle])
    start = start_volts(solved, network)
    solution, _ = converters.settled(chargers, circuit, network.siemens, start)
    found = zip(circuit.elements, solution.element_v, solution.element_a, strict=True)
    for e, volts, amperes in found:
        if e.name not in both:
            continue
        held = loads.Load(0.0, amperes, inf, GIVES_V, True, planned("design_v"))
        if e.name.endswith(converters.INPUT):
            lowest = planned("charger_lowest_v")
            held = replace(held, power_w=volts * amperes, idle_a=0.0, lowest_v=lowest)
        yield Place(e.name, e.positive, e.negative, always(parts.Drawn(held, held)))


def _places(solved: SolvedNetwork, network: KickNetwork) -> Iterator[Place]:
    """Everything but DC-DC chargers, in any order."""
    wired = solved.wired
    build, engine = wired.build, network.engine
    at = {e.name: (e.positive, e.negative) for e in wired.circuit.elements}
    batteries = live_batteries(build)
    for battery in batteries:
        yield Place(battery.id, *at[battery.id], partial(battery_part, battery))
    for alternator in live_alternators(build):
        yield Place(alternator.id, *at[alternator.id], partial(_alternator, network, alternator))
    yield from _tried(solved, network)
    hit = network.played
    level = build.header, Playing.PROGRAMME, engine != "off"
    for taker in takers_fed(solved):
        if isinstance(taker, Appliance) and capacitors.is_capacitor(taker):
            yield Place(taker.id, *at[taker.id], partial(_capacitor, taker))
        else:
            asked = replace(loads.load_in_state(taker, *level), cap_a=inf)
            drawn = parts.Drawn(*hit.get(taker.id, (asked, asked)))
            yield Place(taker.id, *at[taker.id], always(drawn))
    lamps = parts.Lamps(planned("lamp_a"), planned("lamp_v"), planned("lamp_exponent"))
    body = _body(network, at[batteries[0].id][1])
    yield Place(LAMPS, network.nodes.index(LAMPS), body, always(lamps))
    own_a = states.vehicle_load_a(build, engine) - (lamps.amperes if engine != "off" else 0.0)
    own = loads.Load(0.0, max(own_a, 0.0), inf, states.VEHICLE_LOWEST_V, True, lamps.volts)
    yield Place(states.VEHICLE, *at[states.VEHICLE], always(parts.Drawn(own, own)))
    for name, (drop,) in system.isolator_knees(build).items():
        yield Place(name, *at[name], always(parts.OneWay(drop, planned("isolator_ohm"))))


def takers_fed(solved: SolvedNetwork) -> Iterator[loads.Taker]:
    """What a battery feeds and takes back."""
    feed, ret = solved.wiring.feed, solved.wiring.ret
    for taker in loads.takers(solved.wired.build):
        if feed[taker.id].battery and ret[taker.id].battery:
            yield taker


def _tried(solved: SolvedNetwork, network: KickNetwork) -> Iterator[Place]:
    """The capacitor and the battery that are tried, joined where they are."""
    build, remedy = solved.wired.build, network.remedy
    hit = network.played
    first = max(hit, key=lambda id: hit[id][1].power_w)
    terminals = (network.nodes.index(f"{first}_pos"), network.nodes.index(f"{first}_neg"))
    block = [network.nodes.index(node) for node in _block(solved, first)]

    def capacitor(unknown: Unknowns) -> parts.Part:
        if not remedy.capacitor_f:
            return parts.Capacitor(1.0, inf)
        own = unknown.capacitor_ohm / remedy.capacitor_f
        return parts.Capacitor(remedy.capacitor_f, own + planned("kick_capacitor_lead_ohm"))

    def battery(unknown: Unknowns) -> parts.Part:
        alike = battery_part(live_batteries(build)[0], unknown)
        lead = planned("kick_battery_lead_ohm") if remedy.battery else inf
        return replace(alike, quick_ohm=alike.quick_ohm + lead)

    yield Place(CAPACITOR, *terminals, capacitor)
    yield Place(BATTERY, block[0], block[1], battery)


def _capacitor(capacitor: Appliance, unknown: Unknowns) -> parts.Part:
    """A capacitor of the build: its series resistance as entered, else by its size."""
    farads = capacitors.capacitance_f(capacitor)
    ohm = capacitor.esr_ohm
    if ohm is None:
        ohm = unknown.capacitor_ohm / farads
    return parts.Capacitor(farads, ohm, capacitor.idle_a)


def battery_part(battery: Battery, unknown: Unknowns) -> parts.Battery:
    """A battery at the planning charge: R0 + R1 is its internal, else its charging resistance."""
    charge = planned("state_of_charge")
    least, most = sources.spread(battery)
    whole = between(least, sources.internal_ohm(battery), most, unknown.battery)
    slow = unknown.slow_share * whole
    return parts.Battery(
        rest_v=sources.rest_voltage_v(battery.chemistry, charge),
        quick_ohm=whole - slow,
        slow_ohm=slow,
        taking_ohm=max(sources.charging_ohm(battery, charge), whole) - whole + slow,
        slow_f=unknown.slow_s / slow,
    )


def _alternator(network: KickNetwork, alternator: Alternator, unknown: Unknowns) -> parts.Part:
    idle = network.engine == "idle"
    limit = sources.alternator_limit_a(alternator, idle) * network.remedy.alternator
    return parts.Alternator(
        alternator.regulated_v,
        planned("alternator_droop_ohm"),
        0.0 if network.engine == "off" else limit,
        unknown.lag_s,
        unknown.rise_a_s if idle else inf,
    )


def _block(solved: SolvedNetwork, amplifier: str) -> tuple[str, str]:
    """The nodes that feed an amplifier and take its ground: where a battery would be joined."""
    wiring = solved.wiring
    found = []
    for path, own in ((wiring.feed[amplifier], "pos"), (wiring.ret[amplifier], "neg")):
        node = f"{amplifier}_{own}"
        near, far = wiring.ends[path.runs[0]]
        other = near if far == node else far
        posts = {f"{b.id}_{own}" for b in solved.wired.build.batteries}
        found.append(node if other in posts else other)
    return found[0], found[1]


def _body(network: KickNetwork, post: int) -> int:
    """Where the lamps are grounded: the body, or the battery's own post where it reaches none."""
    near: dict[int, list[int]] = {}
    for _, a, b in network.branches:
        near.setdefault(a, []).append(b)
        near.setdefault(b, []).append(a)
    seen, ahead = {post}, [post]
    while ahead:
        new = set(near.get(ahead.pop(), ())) - seen
        seen |= new
        ahead += new
    return nodal.REFERENCE if nodal.REFERENCE in seen else post


def start_volts(solved: SolvedNetwork, network: KickNetwork) -> list[float]:
    """First voltages to try for a network at rest [V]."""
    wired = solved.wired
    volts = states.highest_v(wired.build)
    own = system.start_volts(wired.wiring, volts)
    return [*own, *[volts] * (len(network.nodes) - len(own))]


def cases(
    solved: SolvedNetwork,
    network: KickNetwork,
    unknowns: Sequence[Unknowns],
    known: dict[tuple[float, ...], list[list[float]]] | None = None,
) -> list[Case | None]:
    """A case for each set of unknown values, at rest; ``None`` where there is no rest.

    ``known`` are the resistances of networks with the same parts, by all conductances; those of
    this one are put there.
    """
    typical_ports = network.ports(unknowns[0])
    circuit = network.circuit(typical_ports)
    fixed = [parts.fixed_siemens(port.part) for port in typical_ports]
    known = {} if known is None else known
    key = (*network.siemens, *fixed)
    if key not in known:
        known[key] = port_ohms(circuit, network.siemens, fixed)
    ohms = list(known[key])
    first = rest(circuit, network.siemens, start_volts(solved, network), typical_ports)
    found: list[Case | None] = []
    for unknown in unknowns:
        ports = network.ports(unknown)
        at_rest = first
        if found:
            own = zip(circuit.elements, typical_ports, ports, strict=True)
            elements = tuple(
                element if port.part is typically.part else parts.element(port)
                for element, typically, port in own
            )
            now = replace(circuit, elements=elements)
            at_rest = rest(now, network.siemens, first.volts, ports, near=first.converged)
        case = Case(ohms, fixed, [port.part for port in ports], at_rest.element_v)
        found.append(case if at_rest.converged else None)
    return found


def rest(
    circuit: nodal.Circuit,
    siemens: Sequence[float],
    start: Sequence[float],
    ports: Sequence[Port],
    near: bool = False,
) -> nodal.Solution:
    """The network at rest, in the upper of two states where there are two.

    ``near``: ``start`` is such a rest of nearly this network.
    """
    found = nodal.solve(circuit, siemens, start, near)
    full = any(
        isinstance(port.part, parts.Alternator) and -amperes >= port.part.limit_a * (1 - 1e-9) > 0
        for port, amperes in zip(ports, found.element_a, strict=True)
    )
    return upper_state(circuit, siemens, start, found) if full and not near else found
