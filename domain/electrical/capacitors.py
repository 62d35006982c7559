"""Capacitors at the amplifiers: at rest they only leak; empty or short they are a short's source.

A capacitor of C farads at V volts holds 1/2 C V^2. Empty, it draws V / R at first, R being its own
series resistance and the wires'; so it is charged through a resistor before it is joined. What it
gives into a short stands in ``domain.electrical.surges.pulses``.
"""

from math import log

from domain.build.choices import LoadKind
from domain.build.records import Appliance, Build
from domain.electrical import loads
from domain.electrical.network.wiring import Wiring
from domain.reference.planning import planned

JOINED_V = 0.5
"""What may be left between a capacitor and what it is joined to [V]. Common practice."""

LARGE_S = 1800.0
"""Charging that would take longer than this is done with a current-limited charger [s]."""


def is_capacitor(appliance: Appliance) -> bool:
    """Whether it is a capacitor."""
    return appliance.kind is LoadKind.CAPACITOR


def capacitance_f(capacitor: Appliance) -> float:
    """Its capacitance [F]: as entered, else 1 F, the trade's usual one."""
    return capacitor.capacitance_f or planned("capacitor_f")


def esr_ohm(capacitor: Appliance) -> float:
    """Its series resistance [ohm]: as entered, else typical for its size: falling with it."""
    if capacitor.esr_ohm is not None:
        return capacitor.esr_ohm
    return planned("capacitor_ohm_f") / capacitance_f(capacitor)


def precharge_ohm() -> float:
    """The resistor through which it is charged before it is joined [ohm]."""
    return planned("precharge_ohm")


def precharge_s(capacitor: Appliance, volts: float) -> float:
    """Time until it is within ``JOINED_V`` of a source of so many volts [s]: R C ln(V / 0.5)."""
    return precharge_ohm() * capacitance_f(capacitor) * log(max(volts / JOINED_V, 1.0))


def lead_a(build: Build, wiring: Wiring) -> dict[str, float]:
    """What the own leads of each capacitor carry for a beat [A], by run.

    As much as the largest amplifier draws at full output that is fed from the same device. Common
    practice: its leads are as thick as those of the amplifier that it stands beside.
    """
    volts, found = planned("design_v"), {}
    for capacitor in build.appliances:
        feed, back = wiring.feed[capacitor.id].runs[:1], wiring.ret[capacitor.id].runs[:1]
        if not is_capacitor(capacitor) or not feed or not back:
            continue
        here = set(wiring.ends[feed[0]]) - {f"{capacitor.id}_pos"}
        beside = [
            loads.current_a(loads.load(a, 1.0), volts)
            for a in build.amplifiers
            if any(here & set(wiring.ends[run]) for run in wiring.feed[a.id].runs[:1])
        ]
        amperes = max(beside, default=0.0)
        found[feed[0]] = found[back[0]] = amperes
    return found
