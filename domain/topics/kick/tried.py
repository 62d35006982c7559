"""What was tried against the dip of a kick, as a table."""

from msgspec import Struct

from domain.electrical.transient.results import Condition, KickStudy, Tried
from domain.topics.kick.answer import ENGINES, REMEDIES, SEEN, about, between, dims
from domain.topics.tables import TEXT, Column, Table


class Row(Struct, frozen=True):
    """One thing tried in one condition."""

    condition: Condition
    tried: Tried


def rows(study: KickStudy) -> list[Row]:
    """Everything that was tried, condition by condition."""
    return [Row(each, tried) for each in study.conditions for tried in each.tried]


def _if_carried(row: Row, value: float | str | None) -> float | str | None:
    return value if row.tried.carried else None


def seen(tried: Tried) -> str:
    """Whether a dip of the lamps is seen, in a word or two."""
    if not tried.carried:
        return "collapses"
    if not dims(tried):
        return "not seen"
    return "seen" if tried.noticed.typical >= SEEN else "barely seen"


TRIED: Table[Row] = Table(
    rows=lambda s: (),
    columns=(
        Column("engine", "Engine", TEXT, lambda s, r: ENGINES[r.condition.engine]),
        Column("tried", "With", TEXT, lambda s, r: REMEDIES[r.tried.remedy]),
        Column(
            "lamps",
            "Lamps drop",
            TEXT,
            lambda s, r: _if_carried(r, about(r.tried.lamps.volts)),
            says="what a hit takes off the voltage at the headlamps",
        ),
        Column("range", "Range V", TEXT, lambda s, r: _if_carried(r, between(r.tried.lamps.volts))),
        Column("left", "Left", "share", lambda s, r: _if_carried(r, r.tried.left.typical)),
        Column("seen", "Seen", TEXT, lambda s, r: seen(r.tried)),
        Column(
            "amplifier",
            "Amp drops",
            TEXT,
            lambda s, r: _if_carried(r, about(r.tried.amplifier.volts)),
            says="the same at the amplifier that dips most",
        ),
        Column("lowest", "To", "voltage", lambda s, r: _if_carried(r, r.tried.amplifier.lowest_v)),
        Column(
            "back",
            "Back in",
            TEXT,
            lambda s, r: _if_carried(r, _back(r.tried.lamps.recovers_s)),
            says="from the hit's beginning until the lamps are back but for a tenth",
        ),
    ),
    legend="Drops: the worst of a beat of full hits of 0.1 s, twice a second, against the moment "
    "before it. Range: four fifths of what battery, alternator and capacitor may be like. Left: "
    "what stays of the drop at the lamps.",
)
"""Over ``rows``."""


def _back(recovers_s: float | None) -> str:
    return "not before the next" if recovers_s is None else f"{recovers_s:.2f} s"
