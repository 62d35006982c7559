"""Can alternator and batteries feed it: figures, states, and the drive profile."""

from domain.sheet import DriveResult
from domain.topics.drive import BALANCES, balances, legs, lowest, should_stop, switched_off
from domain.topics.supply import STATES, balance
from storage.pack.pack_context import Pack
from storage.pack.pages import LEFT, Paper
from storage.pack.topic_tables import Wide, lay, lay_facts
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
    subject = pack.subject
    batteries = [battery.id for battery in pack.build.batteries][:5]
    entries = [
        ("above: at the starter battery's posts", HEAVY),
        ("above: lowest at an amplifier", DASHED),
    ]
    entries += [
        (f"below: charge of {pack.name(id)}"[:70], CURVES[i % len(CURVES)])
        for i, id in enumerate(batteries)
    ]
    entries.append(("beginning of a stage", DOTTED))
    paper.heading("Trip", _CHART + 4.2 * len(entries) + 4, mark=True)
    words = 4.2 * len(entries)

    def draw(low: float) -> None:
        box = (LEFT, low + words + 2, paper.across, _CHART)
        drive_chart(paper.ink, box, result, batteries)
        key(paper.ink, LEFT + 1, low + words - 3, entries)

    paper.picture(_CHART + words + 2, draw)
    paper.space(3)
    wide = {
        "number": Wide(12),
        "name": Wide(most=4),
        "engine": Wide(20),
        "playing": Wide(26),
        "from": Wide(22),
        "for": Wide(24),
    }
    lay(subject, paper, legs(result), wide)
    accounts = BALANCES.over(balances(pack.build, result))
    sides = {"in": Wide(20), "out": Wide(20), "lost": Wide(20), "stored": Wide(20)}
    wide = {"battery": Wide(), **sides, "began": Wide(20), "ended": Wide(24)}
    lay(subject, paper, accounts, wide)
    told = (*lowest(subject, result), *switched_off(subject, result))
    for said in (*told, *should_stop(subject, result)):
        paper.words(f"{said}.")
