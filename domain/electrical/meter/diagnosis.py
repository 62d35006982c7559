"""Which joint explains readings that are not as predicted, and what to re-make."""

from collections.abc import Iterable, Sequence

from msgspec import Struct

from domain.build.choices import BlockKind, Meter, NetworkMode
from domain.build.records import Build, Run
from domain.document.records import find, label
from domain.electrical.meter.joint_fit import Fit, Typed, TypedReadings
from domain.electrical.meter.probes import Places, Probes
from domain.electrical.meter.readings import JudgedReading
from domain.electrical.network.states import Wired
from domain.units.show import format_quantity

MOST_SUSPECTS = 8
"""At most this many of the likeliest joints are solved in full and named."""

WORTH = 0.5
"""A joint is named only if it takes this much off the sum of squares, in units of tolerance:
half of what one reading at the edge of its tolerance counts."""

ALIKE = 0.25
"""Suspects count as equally likely where their sums of squares are this near: one reading off by
half its tolerance."""


class Suspect(Struct, frozen=True):
    """A joint that may be bad, and how well that explains the readings.

    ``id`` is a run, ground point, battery or isolator, ``extra_ohm`` the resistance too much
    there. ``before`` and ``remaining`` are the differences of all readings without and with it:
    root of the mean square, in units of tolerance. ``explained``: with it every reading is
    within tolerance. ``alike`` are other suspects that these readings cannot tell from it.
    """

    id: str
    where: str
    extra_ohm: float
    remaining: float
    before: float
    explained: bool
    alike: tuple[str, ...]
    what_to_do: str


def suspects(wired: Wired, readings: Iterable[JudgedReading]) -> tuple[Suspect, ...]:
    """The joints that may explain the readings, the likeliest first.

    Empty when every typed reading is within tolerance, and when no joint makes them fit better.
    Readings that have no prediction are passed over. ``verdict`` says it in a sentence.
    """
    judged = [reading for reading in readings if reading.ok is not None]
    if all(reading.ok for reading in judged):
        return ()
    taken = TypedReadings(wired, _typed(wired.build, judged))
    looked = sorted(
        (left, id, ohm) for id in _joints(wired) for ohm, left in [taken.first_look(id)] if ohm > 0
    )
    fits = [taken.fit(id, ohm) for _, id, ohm in looked[:MOST_SUSPECTS]]
    fits = sorted(
        (fit for fit in fits if taken.before.square - fit.square >= WORTH),
        key=lambda fit: (round(fit.square, 3), fit.extra_ohm),
    )
    return tuple(_suspect(wired.build, fit, fits, taken.before.rms) for fit in fits)


def verdict(build: Build, readings: Sequence[JudgedReading], found: Sequence[Suspect]) -> str:
    """What the readings say, in a sentence or two; "" while nothing that counts is typed."""
    judged = [reading for reading in readings if reading.ok is not None]
    bad = sum(not reading.ok for reading in judged)
    if not judged:
        return ""
    contradiction = _contradiction(build, judged)
    if contradiction:
        return contradiction
    if not bad:
        return f"All {len(judged)} readings are within tolerance."
    outside = f"{bad} of {len(judged)} readings {'is' if bad == 1 else 'are'} outside tolerance."
    best = found[0] if found else None
    if best is None:
        return (
            f"{outside} No joint with more resistance would explain it: take them again, and check "
            "the lengths, gauges and loads in the plan."
        )
    much = format_quantity("resistance", best.extra_ohm, build.header.units)
    if not best.explained:
        return (
            f"{outside} No single joint explains them all: they contradict each other or more than "
            f"one joint is bad. Take them again; nearest is {best.where} with "
            f"{much} too much."
        )
    also = ""
    if best.alike:
        also = f", as would {' or '.join(label(build, id) for id in best.alike[:3])}"
    return f"{outside} {much} too much at {best.where} would explain it{also}."


def _typed(build: Build, judged: Iterable[JudgedReading]) -> list[Typed]:
    places = Places(build)
    typed = []
    for reading in judged:
        where = places.probes(reading.at, reading.meter)
        if (
            isinstance(where, Probes)
            and reading.value_v is not None
            and reading.tolerance_v is not None
        ):
            value = where.shown(reading.value_v)
            typed.append(Typed(reading.mode.value, where, value, reading.tolerance_v))
    return typed


def _joints(wired: Wired) -> list[str]:
    """Everything that can hide a bad joint: laid runs, ground points, batteries, isolators."""
    build = wired.build
    isolators = [block.id for block in build.blocks if block.kind is BlockKind.ISOLATOR]
    grounds = [point.id for point in build.grounds]
    return [*wired.wiring.ends, *grounds, *(b.id for b in build.batteries), *isolators]


def _suspect(build: Build, fit: Fit, fits: Sequence[Fit], before: float) -> Suspect:
    alike = tuple(
        other.id for other in fits if other.id != fit.id and abs(other.square - fit.square) < ALIKE
    )
    where, mend = _where(build, fit.id)
    if alike:
        names = " and ".join(label(build, id) for id in alike[:3])
        mend += f" These readings do not tell it from {names}: read across each of them alone."
    return Suspect(
        id=fit.id,
        where=where,
        extra_ohm=fit.extra_ohm,
        remaining=fit.rms,
        before=before,
        explained=fit.worst <= 1.0,
        alike=alike,
        what_to_do=mend,
    )


def _where(build: Build, id: str) -> tuple[str, str]:
    """What a joint is called, and what to do about it."""
    name = label(build, id)
    record = find(build, id)
    if isinstance(record, Run):
        fuses = record.fused + record.far_fused
        source, target = label(build, record.source), label(build, record.target)
        if not fuses:
            return (
                f"an end of {name}",
                f"Re-make the ends of {name} at {source} and at {target}. To tell which, measure "
                "from the terminal to the bare wire behind it at each end: the bad one shows the "
                "drop.",
            )
        fuse = "fuse" if fuses == 1 else "fuses"
        return (
            f"an end or the {fuse} of {name}",
            f"Re-make the ends of {name} at {source} and at {target}, clean the {fuse} and the "
            "holder's screws. To tell which, measure along the run in parts: near end to fuse, "
            "across the fuse, fuse to far end.",
        )
    if id.startswith("e"):
        return (
            f"{name}, where it meets the body",
            f"Take {name} apart, bare the metal, and re-make it. To make sure, measure from its "
            "stud to bare body metal beside it: next to nothing should drop there.",
        )
    if id.startswith("b"):
        return (
            f"{name}, its posts or the battery itself",
            f"Clean and tighten the clamps of {name}. To tell which, measure from the post itself "
            "to its clamp; if nothing drops there, the battery is weak or not charged.",
        )
    return (
        f"the contacts of {name}",
        f"Re-make both studs of {name}. To tell which, measure across it between its own studs: "
        "what drops there is in its contacts.",
    )


def _contradiction(build: Build, judged: Sequence[JudgedReading]) -> str:
    """Two readings of one thing that cannot both be right, as a sentence; "" if there are none."""
    first: dict[tuple[str, Meter, NetworkMode], JudgedReading] = {}
    for other in judged:
        one = first.setdefault((other.at, other.meter, other.mode), other)
        apart = abs((one.difference_v or 0.0) - (other.difference_v or 0.0))
        if apart > 2 * (one.tolerance_v or 0.0):
            return (
                f"{label(build, one.at)}, {one.meter.value}, was read twice in one state, as "
                f"{one.value_v:.2f} V and as {other.value_v:.2f} V: take it again."
            )
    return ""
