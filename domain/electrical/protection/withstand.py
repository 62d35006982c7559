"""How long a wire stands a current before its insulation is hurt.

Short: all heat stays in the conductor (adiabatic, I^2 t = k^2 A^2, IEC 60364-5-54 clause 543.1
and IEC 60949). Long: what it loses to the air counts too; one time constant joins both, so that
the long-time end is the lasting current that just reaches the limit temperature.
"""

from functools import cached_property, lru_cache
from math import inf, log, sqrt

from msgspec import Struct

from domain.build.choices import Insulation, Metal
from domain.reference.csv_tables import load

ADIABATIC_S = 5.0
"""IEC 60364-5-54 takes all heat to stay in the conductor up to five seconds [s]."""


@lru_cache(maxsize=1)
def _constants() -> dict[str, tuple[float, float]]:
    rows = load("adiabatic_constants", ("conductor", "k", "beta_c"))
    return {row["conductor"]: (float(row["k"]), float(row["beta_c"])) for row in rows}


@lru_cache(maxsize=1)
def _limits() -> dict[Insulation, float]:
    rows = load("insulation_limits", ("insulation", "final_c"))
    return {Insulation(row["insulation"]): float(row["final_c"]) for row in rows}


def limit_c(insulation: Insulation) -> float:
    """Highest conductor temperature at the end of a short circuit [C]."""
    return _limits()[insulation]


def adiabatic_k(metal: Metal, initial_c: float, final_c: float) -> float:
    """k = K sqrt(ln((theta_f + beta)/(theta_i + beta))) [A sqrt(s)/mm2], IEC 60949.

    Copper-clad aluminium is taken as aluminium, the worse of its two metals.
    """
    big_k, beta = _constants()["aluminium" if metal is Metal.CCA else "copper"]
    if final_c <= initial_c:
        return 0.0
    return big_k * sqrt(log((final_c + beta) / (initial_c + beta)))


class Wire(Struct, frozen=True, dict=True, cache_hash=True):
    """What decides how long a wire lasts: section, place and class.

    A few wires are asked thousands of times: what follows from one alone is kept in it.
    """

    area_mm2: float
    metal: Metal
    insulation: Insulation
    ampacity_a: float
    ambient_c: float
    class_c: float

    def initial_c(self) -> float:
        """Temperature when the fault begins [C]: as warm as its class allows, the worst case."""
        return max(self.class_c, self.ambient_c)

    @cached_property
    def one_second_a(self) -> float:
        """The current that it stands for a second if no heat is lost [A]: k A."""
        return adiabatic_k(self.metal, self.initial_c(), limit_c(self.insulation)) * self.area_mm2

    @cached_property
    def lasting_a(self) -> float:
        """As the function of this name."""
        rise = self.class_c - self.ambient_c
        if rise <= 0:
            return 0.0
        final_c = limit_c(self.insulation)
        return self.ampacity_a * sqrt(max(final_c - self.ambient_c, 0.0) / rise)


def adiabatic_s(wire: Wire, current_a: float) -> float:
    """Time to the limit temperature if no heat is lost [s]: (k A / I)^2."""
    return float((wire.one_second_a / current_a) ** 2)


def adiabatic_limit_a(wire: Wire) -> float:
    """The current that the adiabatic line lets stand for just five seconds [A]: k A / sqrt(t)."""
    return wire.one_second_a / sqrt(ADIABATIC_S)


def lasting_a(wire: Wire) -> float:
    """Current that in the end just reaches the limit temperature [A].

    Rise goes with the square of the current: I_z sqrt((limit - ambient)/(class - ambient)).
    """
    return wire.lasting_a


def thermal_s(wire: Wire, current_a: float) -> float:
    """Time to the limit temperature with heat lost to the air [s]; infinite if never reached.

    A first-order rise from the class temperature: t = tau ln((I^2 - I_z^2)/(I^2 - I_inf^2)),
    tau such that large currents meet the adiabatic line.
    """
    lasting = lasting_a(wire)
    if current_a <= lasting:
        return inf
    start2, end2, now2 = wire.ampacity_a**2, lasting**2, current_a**2
    heat = wire.one_second_a**2
    if end2 <= start2:
        return heat / now2
    tau = heat / (end2 - start2)
    return tau * log((now2 - start2) / (now2 - end2))


def withstand_s(wire: Wire, current_a: float) -> float:
    """How long the wire stands a current [s]: adiabatic up to five seconds, thermal above."""
    if current_a <= 0:
        return inf
    short = adiabatic_s(wire, current_a)
    return short if short <= ADIABATIC_S else max(short, thermal_s(wire, current_a))
