"""What is wrong with the plan, in the parts in which it is told."""

from domain.build.records import Build
from domain.document.records import label
from domain.findings import Finding, Level
from domain.sheet import Sheet


def parts(build: Build, finding: Finding) -> list[tuple[str, str]]:
    """Where, why, what to do and by what rule, as far as there is something to say."""
    where = label(build, finding.id) if finding.id else ""
    told = (
        ("Where", where),
        ("Why", finding.why),
        ("Do", finding.do),
        ("Source", finding.source),
    )
    return [(name, said) for name, said in told if said]


def counts(sheet: Sheet) -> str:
    """How many there are of each level."""
    return ", ".join(f"{sheet.count(level)} {level}" for level in Level)


def unsettled(sheet: Sheet) -> str:
    """What must be settled before work begins, in a sentence; "" if nothing."""
    stops = sheet.count(Level.STOP)
    if not stops:
        return ""
    points = "point" if stops == 1 else "points"
    return f"STOP: {stops} {points} to settle before work begins, see Findings."
