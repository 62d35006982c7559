"""Workings of the kick drum: the first moment of a dip, before anything slow has moved."""

from domain.electrical import inductance
from domain.electrical.sizing.size_and_solve import SolvedNetwork
from domain.electrical.transient import edges, networks, parts
from domain.electrical.transient.integrate import port_ohms
from domain.electrical.transient.remedies import AS_IT_IS
from domain.electrical.transient.unknowns import typical
from domain.workings.cited import LAWS, cite, plan, plan_source
from domain.workings.working import Input, Working

_NAMES = ("kick_s", "kick_hz", "kick_edge_s", "battery_slow_share", "battery_slow_s")
_ALTERNATOR = ("alternator_lag_s", "alternator_rise_a_s")
LOOSE_SIEMENS = 1e-6
"""Keeps a node solvable that nothing quick reaches [S]."""

_LAMPS = ("lamp_a", "lamp_v", "lamp_exponent", "lamp_lead_ohm")


def first_moment(solved: SolvedNetwork, engine: str) -> Working:
    """The dip at the lamps in the first moment of a hit, the build as it is.

    What all hits of the bass draw at once, times the resistance that the lamps and the greatest of
    the amplifiers share: quick parts of batteries, wires and body. ``LookupError`` where no battery
    feeds an amplifier.
    """
    hit = networks.beaten(solved)
    if not hit:
        raise LookupError("no battery feeds an amplifier")
    network = networks.kick_network(solved, engine, AS_IT_IS)
    ports = network.ports(typical())
    circuit = network.circuit(ports)
    start = networks.start_volts(solved, network)
    quiet = networks.rest(circuit, network.siemens, start, ports)
    fixed = [_quick(port.part) for port in ports]
    ohms = port_ohms(circuit, network.siemens, fixed)
    place = {port.name: number for number, port in enumerate(ports)}
    first = max(hit, key=lambda id: hit[id][1].power_w)
    mutual = ohms[place[first]][place[networks.LAMPS]]
    own_v = quiet.element_v[place[first]]
    watts = sum(full.power_w - rest.power_w for rest, full in hit.values())
    amperes = watts / own_v
    names = (*_NAMES, *_ALTERNATOR, *_LAMPS)
    return Working(
        "First moment of the dip at the lamps",
        "dU = Z P / V; after it the batteries' slow part, alternator and capacitors follow",
        (
            Input("Z", "volts at the lamps for an ampere of the amplifier", mutual, "ohm"),
            Input("P", "what the amplifiers draw more in a hit", watts, "W"),
            Input("V", "at the amplifier before it", own_v, "V"),
            *(plan(f"x{number}", name) for number, name in enumerate(names, 1)),
        ),
        ("followed from there in steps by TR-BDF2, the x as they are typical",),
        mutual * amperes,
        "V",
        cite(LAWS, plan_source(*names)),
    )


def on_the_edge(solved: SolvedNetwork, amplifier: str) -> Working:
    """The inductance of the wires to an amplifier and back, far from their return [H]."""
    inputs, total = [], 0.0
    for number, id in enumerate(edges.way_of(solved, amplifier), 1):
        length_m, gauge = solved.items[id].wire_m, solved.sized.gauge[id]
        henries = edges.run_h(solved, id, inductance.alone_h)
        total += henries
        inputs += [
            Input(f"l{number}", f"length of {id}, {gauge}", length_m, "m"),
            Input(f"L{number}", f"its inductance, radius r of {gauge}", henries, "H"),
        ]
    names = ("touching_axes", "amplifier_input_f_w", "amplifier_input_ohm_w", "kick_edge_s")
    return Working(
        "Inductance of the wires to the amplifier and back",
        "L = sum of 0.2 uH/m l [ln((1 + w) / x) - w + 1/4 + x], x = r / l, w = sqrt(1 + x^2)",
        (*inputs, *(plan(f"x{number}", name) for number, name in enumerate(names, 1))),
        (
            "beside its return or along the body 0.2 uH/m l [ln(2 x1) + 1/4]",
            "followed over the first edge of a hit with capacitors x2, x3 at the inputs",
        ),
        total,
        "H",
        cite("GROVER", "TERMAN-MEM", plan_source(*names)),
    )


def _quick(part: parts.Part) -> float:
    """What of a part moves at once [S]: quick resistances; loads and alternators stay."""
    if isinstance(part, parts.Battery | parts.Capacitor):
        return parts.fixed_siemens(part)
    return LOOSE_SIEMENS
