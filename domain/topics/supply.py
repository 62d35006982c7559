"""Can alternator and batteries feed it: the balance, and the six states of the network."""

from domain.electrical import loads
from domain.electrical.charging import live_batteries, standing
from domain.electrical.network.charger_draw import drawn
from domain.electrical.network.wiring import wiring
from domain.reference.planning import planned
from domain.sheet import NetworkState
from domain.topics.tables import TEXT, Column, Fact, Subject, Table


def balance(subject: Subject) -> tuple[Fact, ...]:
    """What is drawn and given, what is left of it, and how long the battery lasts."""
    has = subject.sheet.supply
    return (
        Fact("Batteries together", "capacity", has.capacity_ah),
        Fact("Vehicle itself draws", "current", has.vehicle_a),
        Fact("Average current", "current", has.programme_a),
        *_chargers(subject),
        Fact("Current at full power", "current", has.design_a),
        Fact("Alternator while driving", "current", has.cruise_a),
        Fact(
            "Balance while driving",
            "current",
            has.cruise_balance_a,
            _drained(subject, has.cruise_balance_a, has.minutes_to_half_cruise)
            + f"; {_left(subject)}",
        ),
        Fact("Alternator at idle", "current", has.idle_a),
        Fact(
            "Balance at idle",
            "current",
            has.idle_balance_a,
            _drained(subject, has.idle_balance_a, has.minutes_to_half_idle),
        ),
        Fact("Engine off", "minutes", has.play_minutes, "of music to half charge"),
        *_standing(subject),
        Fact("Sag at the posts", "voltage", has.sag_v, "full power, engine off"),
    )


def _standing(subject: Subject) -> tuple[Fact, ...]:
    """How long the loads that work always are fed while the vehicle stands."""
    if not subject.build.appliances:
        return ()
    side = standing(subject.build)
    together = "all batteries together"
    if len(side.batteries) < len(live_batteries(subject.build)):
        together = f"{' and '.join(subject.name(b.id) for b in side.batteries)} first"
    note = f"to half charge at {subject.show('current', side.amperes)}, no music, key out; "
    return (Fact("Standing", "minutes", side.minutes, note + together),)


def _chargers(subject: Subject) -> tuple[Fact, ...]:
    """What DC-DC chargers take, and for what."""
    has = subject.sheet.supply
    if not has.chargers_a:
        return ()
    full, behind = (subject.show("current", a) for a in (has.chargers_full_a, has.behind_a))
    note = f"while they charge, {full} once full; {behind} of the average is behind them"
    return (Fact("DC-DC chargers take", "current", has.chargers_a, note),)


def _left(subject: Subject) -> str:
    """What is left at cruise when it is played louder than the programme."""
    has, build = subject.sheet.supply, subject.build
    other = {v.id: v.programme_a for v in subject.sheet.appliances}
    third = other | {
        a.id: loads.current_a(
            loads.load(a, planned("programme_fraction_bass")), planned("design_v")
        )
        for a in build.amplifiers
    }
    full = {a.id: a.design_a for a in subject.sheet.loads}
    left = has.cruise_a - has.vehicle_a
    at_third, at_full = (
        subject.show("current", left - drawn(build, wiring(build), each).amperes)
        for each in (third, full)
    )
    return f"{at_third} at a third of rated power, {at_full} at full power"


def _drained(subject: Subject, balance_a: float, minutes: float | None) -> str:
    if balance_a >= 0:
        return "to spare"
    if minutes is None:
        return "from the battery"
    return f"from the battery, half charge after {subject.show('minutes', minutes)}"


def _lowest(state: NetworkState) -> str:
    return min(state.amplifier_v, key=state.amplifier_v.__getitem__, default="")


def trouble(subject: Subject, state: NetworkState) -> str:
    """What does not hold in a state, in a sentence; "" where all holds."""
    if state.collapsed or not state.converged:
        lost = f"; most is lost at {subject.name(state.blame)}" if state.blame else ""
        return f"The voltage collapses under these loads{lost}."
    return f"Shut down: {subject.names(state.off)}." if state.off else ""


STATES: Table[NetworkState] = Table(
    rows=lambda s: s.sheet.states,
    columns=(
        Column("state", "Condition", TEXT, lambda s, n: n.title[:1].upper() + n.title[1:]),
        Column("lowest", "Lowest", "voltage", lambda s, n: n.amplifier_v.get(_lowest(n))),
        Column("at", "At", TEXT, lambda s, n: s.name(_lowest(n)) if _lowest(n) else "-"),
        Column("battery", "Battery", "current", lambda s, n: sum(n.battery_a.values())),
        Column("alternator", "Alternator", "current", lambda s, n: sum(n.alternator_a.values())),
        Column("loads", "Loads", "power", lambda s, n: n.load_w),
        Column("heat", "Heat", "power", lambda s, n: n.heat_w),
    ),
    note=trouble,
)
