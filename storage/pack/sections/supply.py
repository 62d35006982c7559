"""Can alternator and batteries feed it: figures, states, the drive profile, the kick drum."""

from domain.electrical.transient.curves import kick_curves
from domain.electrical.transient.results import Condition, KickStudy
from domain.sheet import DriveResult
from domain.topics.drive import BALANCES, balances, legs, lowest, should_stop, switched_off
from domain.topics.kick.answer import PREMISES, REMEDIES, answer, further, told_at
from domain.topics.kick.song import planned_with
from domain.topics.kick.tried import TRIED, rows
from domain.topics.supply import STATES, balance
from storage.pack.pack_context import Pack
from storage.pack.pages import LEFT, Paper
from storage.pack.topic_tables import Wide, lay, lay_facts
from storage.pack.vector_charts import (
    CURVES,
    DASHED,
    DOTTED,
    HEAVY,
    THIN,
    drive_chart,
    key,
    kick_chart,
)

_CHART, _KICK = 112.0, 78.0


def supply(pack: Pack, paper: Paper) -> None:
    """The balance, the six states, the drive where the build has legs, and the kick drum."""
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
    if pack.kick is not None:
        _kick(pack, paper, pack.kick)
    if pack.build.header.music:
        paper.heading("Music judged", 20)
        paper.words(pack.build.header.music)
        said = planned_with(subject)
        paper.words(said[0].upper() + said[1:])


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


def _kick(pack: Pack, paper: Paper, study: KickStudy) -> None:
    """Do the lamps dim: the answer, what is taken for granted, what was tried, the picture."""
    subject = pack.subject
    paper.heading("Kick drum", 40, mark=True)
    paper.words(answer(subject, study), bold=True)
    said = " ".join(further(subject, study))
    if said:
        paper.words(said)
    paper.words(" ".join((*PREMISES, TRIED.legend)))
    wide = {
        "engine": Wide(19),
        "tried": Wide(),
        "lamps": Wide(20, bold=True),
        "range": Wide(22),
        "left": Wide(13),
        "seen": Wide(20),
        "amplifier": Wide(20),
        "lowest": Wide(18),
    }
    lay(subject, paper, TRIED.over(rows(study)), wide)
    condition = told_at(study)
    if condition is not None:
        _kick_picture(paper, condition)


def _kick_picture(paper: Paper, condition: Condition) -> None:
    curves = kick_curves(condition)
    if curves is None:
        return
    entries = [
        (REMEDIES[each], CURVES[i % len(CURVES)]) for i, each in enumerate(curves.lamps.curves)
    ]
    entries += [("n: just noticed", DOTTED), ("headlamps from car to car", THIN)]
    words = 4.2 * len(entries)

    def draw(low: float) -> None:
        kick_chart(paper.ink, (LEFT, low + words + 2, paper.across, _KICK), curves)
        key(paper.ink, LEFT + 1, low + words - 3, entries)

    paper.picture(_KICK + words + 2, draw)
