"""The kick drum as curves: what every chart of it draws."""

from math import ceil, floor

from msgspec import Struct

from domain.electrical.transient.results import Condition, Curve

TOLD_APART = 0.97
"""A remedy that leaves this share of the dip, or as much more, lies on the plain curve."""

LETTERS = {"none": "a", "capacitor": "c", "battery": "b", "wires": "w", "alternator": "g"}
"""The letter of each curve."""

_TICK_V = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0)
_MOST_TICKS = 5


class Strip(Struct, frozen=True):
    """Curves by remedy over time [s], in a field of volts; ``ticks`` are round ones [V]."""

    curves: dict[str, Curve]
    volts: tuple[float, float]
    ticks: tuple[float, ...]


class KickCurves(Struct, frozen=True):
    """The lamps' and the amplifier's strip; ``beside`` are remedies on the plain curve.

    ``low`` and ``high`` bound the lamps' voltage over all that the vehicle may be like, and
    ``noticed_v`` is how low a hit may take the lamps before half of the viewers notice it [V].
    """

    lamps: Strip
    amplifier: Strip
    low: Curve
    high: Curve
    noticed_v: float | None
    beside: tuple[str, ...]
    end_s: float


def kick_curves(condition: Condition) -> KickCurves | None:
    """The curves of one engine condition; ``None`` where the network cannot carry the hit."""
    plain = condition.of("none")
    if plain is None or not plain.carried:
        return None
    carried = [each for each in condition.tried if each.carried]
    drawn = [
        each for each in carried if each is plain or abs(1 - each.left.typical) > 1 - TOLD_APART
    ]
    low = tuple((time, least) for time, least, _ in condition.band)
    high = tuple((time, most) for time, _, most in condition.band)
    dip, times = plain.lamps, plain.noticed.typical
    noticed = dip.before_v - dip.volts.typical / times if times > 0 else None
    lamps = {each.remedy: each.lamp_curve for each in drawn}
    return KickCurves(
        lamps=_strip(lamps, low, high),
        amplifier=_strip({each.remedy: each.amplifier_curve for each in drawn}),
        low=low,
        high=high,
        noticed_v=noticed,
        beside=tuple(each.remedy for each in carried if each not in drawn),
        end_s=plain.lamp_curve[-1][0],
    )


def _strip(curves: dict[str, Curve], *also: Curve) -> Strip:
    """A field that holds all curves, with round volts at its edges."""
    every = [v for curve in (*curves.values(), *also) for _, v in curve]
    low, high = min(every), max(every)
    tick = next((t for t in _TICK_V if (high - low) / t <= _MOST_TICKS), _TICK_V[-1])
    first, last = floor(low / tick + 1e-6), ceil(high / tick - 1e-6)
    last = max(last, first + 1)
    ticks = tuple(round(number * tick, 3) for number in range(first, last + 1))
    return Strip(curves, (ticks[0], ticks[-1]), ticks)
