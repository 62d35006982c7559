"""The kick drum as lines of text: the answer, where the dip comes from, what was tried."""

from domain.electrical.transient.results import Condition, KickStudy
from domain.topics.kick.answer import PREMISES, answer, further
from domain.topics.kick.tried import TRIED, Row, rows
from domain.topics.tables import Subject
from tui.report.plain import WIDTH, wrap
from tui.report.text_layout import lay

CHART_ROWS = 26
"""Height of the picture, with its legend."""

NARROW = 100
"""A page with fewer cells has no room for all columns."""

_MOST = {"tried": 32, "lamps": 10, "range": 12, "left": 5, "seen": 11, "amplifier": 9, "lowest": 8}


def told(subject: Subject, study: KickStudy, width: int = WIDTH) -> list[str]:
    """The answer, the amplifier's voltage, and where the dips come from."""
    said = [answer(subject, study), *further(subject, study)]
    return [line for text in said for line in wrap(text, width=width)]


def tried(subject: Subject, condition: Condition, width: int = WIDTH) -> list[str]:
    """What was tried with the engine in one condition; on a narrow page without the ranges."""
    own = [Row(condition, each) for each in condition.tried]
    most = {**_MOST, "back": 10}
    if width < NARROW:
        most = {key: cells for key, cells in most.items() if key != "range"} | {"tried": 12}
    return lay(subject, TRIED.over(own), most, width)


def kick(subject: Subject, study: KickStudy, picture: bool = False) -> list[str]:
    """All of the study, with a picture if wanted."""
    lines = told(subject, study)
    most = {"engine": 10, **_MOST, "back": 8}
    lines += ["", *lay(subject, TRIED.over(rows(study)), most)]
    if picture and study.conditions:
        # Late: it is only drawn where the output can hold it.
        from tui.pictures.charts import kick_chart

        chart = kick_chart(study.conditions[0], WIDTH, CHART_ROWS)
        lines += ["", *(line.rstrip() for line in chart)]
    lines += ["", *wrap(TRIED.legend)]
    return [*lines, *(line for each in PREMISES for line in wrap(each, "- "))]
