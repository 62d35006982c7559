"""The ground map: every point where wires meet the body, and how to prepare it."""

from domain.checks.cautions import GROUND_POINTS
from domain.topics.grounds import GROUNDS, PREPARING
from domain.topics.loads import AMPLIFIERS, against
from storage.pack.pack_context import Pack
from storage.pack.pages import TICK, Column, Paper
from storage.pack.topic_tables import Wide, lay


def grounds(pack: Pack, paper: Paper) -> None:
    """Ground points with their wires, then how far each amplifier's ground is off."""
    subject = pack.subject
    wide = {
        "name": Wide(),
        "surface": Wide(26),
        "stud": Wide(15),
        "path": Wide(24),
        "full": Wide(20),
        "rise": Wide(17),
    }
    lay(subject, paper, GROUNDS, wide, tick=Column("Done", 12))
    if any(point.resistance_auto for point in pack.sheet.grounds):
        paper.words(GROUNDS.legend)
    paper.words(f"CAUTION: {GROUND_POINTS}.")
    for step in PREPARING:
        paper.words(step, indent=7, mark=TICK)
    if pack.sheet.amplifiers:
        paper.heading("Ground of each amplifier at full power")
        paper.words(against(subject))
        lay(subject, paper, AMPLIFIERS, {"name": Wide(), "offset": Wide(22), "way": Wide(95)})
