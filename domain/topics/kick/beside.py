"""The kick drum of several builds side by side, and as a note among the findings of one."""

from domain.electrical.transient.results import KickStudy
from domain.findings import Finding, Level
from domain.topics.kick.answer import SEEN, answer, at_amplifier, causes, dims, told_at
from domain.topics.kick.tried import seen
from domain.topics.tables import TEXT, Fact, Subject


def kick_facts(subject: Subject, study: KickStudy | None) -> tuple[Fact, ...]:
    """The figures of a kick that builds are compared by: of every build the same, at idle if it
    has an alternator; without values where no battery feeds an amplifier."""
    condition = told_at(study) if study is not None else None
    plain = condition.of("none") if condition is not None else None
    held = plain if plain is not None and plain.carried else None
    return (
        Fact("Lamps drop at a kick", "voltage", held.lamps.volts.typical if held else None),
        Fact("which is", TEXT, seen(plain) if plain else None),
        Fact("Amplifier drops", "voltage", held.amplifier.volts.typical if held else None),
        Fact("down to", "voltage", held.amplifier.lowest_v if held else None),
    )


def kick_note(subject: Subject, study: KickStudy | None) -> Finding | None:
    """The answer as a note, where the lamps dim visibly."""
    condition = told_at(study) if study is not None else None
    plain = condition.of("none") if condition is not None else None
    if study is None or plain is None or not plain.carried:
        return None
    if not dims(plain) or plain.noticed.typical < SEEN:
        return None
    return Finding(
        level=Level.NOTE,
        code="lamps-dim",
        what=answer(subject, study),
        why=" ".join([*causes(subject, study), at_amplifier(subject, study)]).strip(),
        do="Ask whether that is a nuisance before anything is bought against it; "
        "lamps with a regulator, as LED and xenon, do not dim",
        source="IEC 61000-4-15 for what is noticed; the rest typical values, common practice",
    )
