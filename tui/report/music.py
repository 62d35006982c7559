"""A customer's music as lines of text: how loud it is on average, and its hardest second."""

from domain.topics.kick.song import FOLLOWED, PREMISES, SETS, hardest, judged, sets
from domain.topics.tables import Subject
from storage.music import JudgedMusic
from tui.report.plain import WIDTH, wrap
from tui.report.text_layout import lay


def told(subject: Subject, music: JudgedMusic, width: int = WIDTH) -> list[str]:
    """The file, what is to remark on it, its average and its hardest second."""
    study = music.study
    said = [music.file, *music.remarks, *judged(subject, study), hardest(subject, study)]
    return [line for text in said if text for line in wrap(text, width=width)]


def tables(subject: Subject, music: JudgedMusic, width: int = WIDTH) -> list[str]:
    """What each set of channels plays, and the hardest second with what is tried."""
    most = {"name": 30, "rated": 9, "plays": 14, "crest": 8, "average": 8}
    lines = lay(subject, SETS.over(sets(music.study)), most, width)
    most = {"engine": 10, "tried": 16, "lamps": 11, "low": 8, "amplifier": 10, "lowest": 8}
    followed = lay(subject, FOLLOWED.over(list(music.study.followed)), most, width)
    return [*lines, "", *followed] if followed else lines


def song(subject: Subject, music: JudgedMusic) -> list[str]:
    """All of it."""
    lines = [*told(subject, music), "", *tables(subject, music), ""]
    return [*lines, *(line for each in PREMISES for line in wrap(each, "- "))]
