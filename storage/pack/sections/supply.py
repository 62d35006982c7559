"""Can alternator and batteries feed it: figures, states, and the drive profile."""

from domain.sheet import DriveResult
from domain.topics.supply import STATES, balance
from domain.units.show import clock
from storage.pack.layout import Wide, lay, lay_facts
from storage.pack.pack_context import Pack
from storage.pack.paper import LEFT, Column, Paper
from storage.pack.vector_charts import CURVES, DASHED, DOTTED, HEAVY, drive_chart, key

_CHART = 112.0


def supply(pack: Pack, paper: Paper) -> None:
    """The balance, the six states, and the drive where the build has legs."""
    subject = pack.subject
    lay_facts(subject, paper, balance(subject), 62, 32)
    paper.heading("States")
    wide = {
        "state": Wide(46),
        "lowest": Wide(18, bold=True),
        "at": Wide(most=4),
        "battery": Wide(19),
        "alternator": Wide(21),
        "loads": Wide(18),
        "heat": Wide(18),
    }
    lay(subject, paper, STATES, wide)
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
