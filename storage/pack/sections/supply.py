"""Can alternator and batteries feed it: figures, states, and the drive profile."""

from domain.sheet import DriveResult
from domain.units.show import clock
from storage.pack.pack_context import Pack
from storage.pack.paper import LEFT, Column, Paper, Row
from storage.pack.vector_charts import CURVES, DASHED, DOTTED, HEAVY, drive_chart, key

_CHART = 112.0


def supply(pack: Pack, paper: Paper) -> None:
    """The balance, the six states, and the drive where the build has legs."""
    has, show = pack.sheet.supply, pack.show
    rows = [
        ("Batteries together", show("capacity", has.capacity_ah), ""),
        ("Vehicle itself draws", show("current", has.vehicle_a), ""),
        ("Programme draws", show("current", has.programme_a), ""),
        ("Full tone draws", show("current", has.design_a), ""),
        ("Alternator at cruise", show("current", has.cruise_a), ""),
        (
            "Balance at cruise",
            show("current", has.cruise_balance_a),
            _drained(pack, has.cruise_balance_a, has.minutes_to_half_cruise),
        ),
        ("Alternator at idle", show("current", has.idle_a), ""),
        (
            "Balance at idle",
            show("current", has.idle_balance_a),
            _drained(pack, has.idle_balance_a, has.minutes_to_half_idle),
        ),
        ("Engine off", show("minutes", has.play_minutes), "of programme to half charge"),
        ("Sag at the posts", show("voltage", has.sag_v), "full tone, engine off"),
    ]
    paper.table((Column("", 62), Column("", 32, 1, bold=True), Column("")), rows)
    paper.heading("States")
    states = []
    for state in pack.sheet.states:
        lowest = min(state.amplifier_v, key=state.amplifier_v.__getitem__, default="")
        trouble = ""
        if state.collapsed or not state.converged:
            trouble = "The supply cannot hold these loads"
            trouble += f"; most is lost at {pack.name(state.blame)}." if state.blame else "."
        elif state.off:
            trouble = f"Off: {pack.names(state.off)}."
        states.append(
            Row(
                (
                    state.title[:1].upper() + state.title[1:],
                    show("voltage", state.amplifier_v.get(lowest)),
                    pack.name(lowest) if lowest else "-",
                    show("current", sum(state.battery_a.values())),
                    show("current", sum(state.alternator_a.values())),
                    show("power", state.load_w),
                    show("power", state.heat_w),
                ),
                trouble,
            )
        )
    paper.table(
        (
            Column("State", 46),
            Column("Lowest", 18, 1, bold=True),
            Column("At", most=4),
            Column("Battery", 19, 1),
            Column("Alternator", 21, 1),
            Column("Loads", 18, 1),
            Column("Heat", 18, 1),
        ),
        states,
    )
    if pack.results.drive is not None and pack.results.drive.points:
        _drive(pack, paper, pack.results.drive)


def _drive(pack: Pack, paper: Paper, result: DriveResult) -> None:
    show = pack.show
    batteries = [battery.id for battery in pack.build.batteries][:5]
    entries = [
        ("above: at the starter battery's posts", HEAVY),
        ("above: lowest at an amplifier", DASHED),
    ]
    entries += [
        (f"below: charge of {pack.name(id)}"[:70], CURVES[i % len(CURVES)])
        for i, id in enumerate(batteries)
    ]
    entries.append(("beginning of a leg", DOTTED))
    paper.heading("Drive profile", _CHART + 4.2 * len(entries) + 4, mark=True)
    words = 4.2 * len(entries)

    def draw(low: float) -> None:
        box = (LEFT, low + words + 2, paper.across, _CHART)
        drive_chart(paper.ink, box, result, batteries)
        key(paper.ink, LEFT + 1, low + words - 3, entries)

    paper.picture(_CHART + words + 2, draw)
    paper.space(3)
    starts: dict[str, float] = {}
    for point in result.points:
        starts.setdefault(point.leg, point.time_s)
    paper.table(
        (
            Column("Leg", 12, 1),
            Column("What happens", most=4),
            Column("Engine", 20),
            Column("Playing", 26),
            Column("From", 22, 1),
            Column("For", 24, 1),
        ),
        [
            (
                str(number),
                pack.name(leg.id),
                leg.engine.value,
                leg.playing.value,
                clock(starts[leg.id]) if leg.id in starts else "-",
                show("duration", leg.duration_s),
            )
            for number, leg in enumerate(pack.build.legs, 1)
        ],
    )
    rows = []
    for battery in pack.build.batteries:
        began = result.points[0].charge[battery.id]
        ended = began + result.stored_ah[battery.id] / battery.capacity_ah
        rows.append(
            (
                pack.name(battery.id),
                show("capacity", result.charged_ah[battery.id]),
                show("capacity", result.discharged_ah[battery.id]),
                show("capacity", result.stored_ah[battery.id]),
                show("share", began),
                show("share", ended),
            )
        )
    paper.table(
        (
            Column("Battery"),
            Column("In", 22, 1),
            Column("Out", 22, 1),
            Column("Stored", 22, 1),
            Column("At first", 20, 1),
            Column("At the end", 24, 1),
        ),
        rows,
    )


def _drained(pack: Pack, balance_a: float, minutes: float | None) -> str:
    if balance_a >= 0:
        return "to spare"
    if minutes is None:
        return "from the battery"
    return f"from the battery, half charge after {pack.show('minutes', minutes)}"
