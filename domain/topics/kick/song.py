"""A piece of music in words: how loud it is on average, and its hardest second."""

from domain.build.choices import shown
from domain.build.edits import Batch, Edit, SetField
from domain.electrical.loads import programme_fraction
from domain.electrical.music.bands import Band
from domain.electrical.music.song import Followed, SetLevel, SongStudy
from domain.topics.kick.answer import ENGINES, REMEDIES, volts
from domain.topics.tables import TEXT, Column, Subject, Table

LEAST_LEVEL = 0.001
"""An average below this says nothing of what is played in a vehicle."""

MOST_NOTED = 500
"""Characters that are noted of a piece."""

PREMISES = (
    "Judged at the level at which the loudest peak just reaches full power: turned up further, "
    "tops are cut off and the average rises.",
    "The crossover is the usual one of 24 dB an octave, for nobody told it; bass channels and "
    "amplifiers of one channel play below it.",
    "Followed at typical values, from rest at the average of the music; the kick drum has the "
    "spread.",
)
"""What the judgement takes for granted."""


def percent(subject: Subject, share: float) -> str:
    """A share of rated power, to a tenth of a percent."""
    return subject.show("fraction", share)


def planned_with(subject: Subject) -> str:
    """Which average the build is planned with, and whence."""
    header = subject.build.header
    whence = f"as {shown(header.programme)}" if header.average_level is None else "as entered"
    return f"the build is planned with {percent(subject, programme_fraction(header))}, {whence}."


def judged(subject: Subject, study: SongStudy) -> list[str]:
    """Crest factor and average over rated power, beside what the build is planned with."""
    said = [
        f"Crest factor of the recording {study.crest_db:.1f} dB. Its loudest peak just at full "
        f"power, it averages {percent(subject, study.average)} of rated power; "
        f"{planned_with(subject)}"
    ]
    if any(each.average == 0 for each in study.sets):
        said.append("Some channels get nothing of it: it has no sound there.")
    return said


def hardest(subject: Subject, study: SongStudy) -> str:
    """The hardest second in a sentence; "" where no battery feeds an amplifier."""
    if not study.followed:
        return ""
    first = study.followed[0]
    minutes, seconds = divmod(int(study.hardest_s), 60)
    when = ENGINES[first.engine] if first.engine == "idle" else f"with the {ENGINES[first.engine]}"
    text = f"In its hardest second, from {minutes}:{seconds:02} on, {when}"
    if not first.carried:
        return f"{text} the voltage collapses."
    lamps, amplifier = first.lamps, first.amplifier
    return (
        f"{text} the lamps swing by {volts(lamps.dip_v)} down to "
        f"{subject.show('voltage', lamps.lowest_v)}, {subject.name(study.amplifier)} by "
        f"{volts(amplifier.dip_v)} down to {subject.show('voltage', amplifier.lowest_v)}."
    )


def noted(subject: Subject, study: SongStudy, file: str) -> str:
    """A piece as the build remembers it: its file, and what was measured, as the build was then."""
    text = (
        f"{file}. Crest {study.crest_db:.1f} dB, averages {percent(subject, study.average)} of "
        f"rated power, bass below {study.crossover_hz:.0f} Hz. {hardest(subject, study)}"
    ).strip()
    return text if len(text) <= MOST_NOTED else f"{text[: MOST_NOTED - 3]}..."


def level_edit(study: SongStudy, note: str = "") -> Edit:
    """The edit that plans the build with the average of the music; ``ValueError`` if it has none.

    Rounded to a tenth of a percent, as it is shown; with what is noted of the piece.
    """
    if study.average < LEAST_LEVEL:
        raise ValueError("it has next to nothing for these amplifiers")
    level = SetField(table="header", field="average_level", value=round(study.average, 3))
    music = SetField(table="header", field="music", value=note)
    return Batch(edits=(level, music), label="Average of the music")


SETS: Table[tuple[SongStudy, SetLevel]] = Table(
    rows=lambda s: (),
    columns=(
        Column("name", "Amplifier", TEXT, lambda s, r: s.name(r[1].channels.amplifier.id)),
        Column("rated", "Rated", "power", lambda s, r: r[1].channels.rated_w),
        Column("plays", "Plays", TEXT, lambda s, r: _plays(*r)),
        Column(
            "crest",
            "Crest",
            TEXT,
            lambda s, r: f"{r[1].crest_db:.1f} dB" if r[1].average else None,
            says="crest factor: peak over average, of what it plays",
        ),
        Column(
            "average",
            "Average",
            TEXT,
            lambda s, r: percent(s, r[1].average),
            says="average over rated power",
        ),
    ),
)
"""What each set of channels plays; over ``sets``."""


def sets(study: SongStudy) -> list[tuple[SongStudy, SetLevel]]:
    """The sets of channels, each beside its study."""
    return [(study, each) for each in study.sets]


def _plays(study: SongStudy, level: SetLevel) -> str:
    band, hertz = level.channels.band, f"{study.crossover_hz:.0f} Hz"
    return {Band.LOW: f"below {hertz}", Band.HIGH: f"above {hertz}"}.get(band, "all of it")


def _if_carried(row: Followed, value: float | str) -> float | str | None:
    return value if row.carried else None


FOLLOWED: Table[Followed] = Table(
    rows=lambda s: (),
    columns=(
        Column("engine", "Engine", TEXT, lambda s, r: ENGINES[r.engine]),
        Column("tried", "With", TEXT, lambda s, r: REMEDIES[r.remedy]),
        Column(
            "lamps",
            "Lamps swing",
            TEXT,
            lambda s, r: volts(r.lamps.dip_v) if r.carried else "collapses",
            says="between the highest and the lowest voltage at the headlamps in that second",
        ),
        Column("low", "To", "voltage", lambda s, r: _if_carried(r, r.lamps.lowest_v)),
        Column(
            "amplifier",
            "Amp swings",
            TEXT,
            lambda s, r: _if_carried(r, volts(r.amplifier.dip_v)),
            says="the same at the amplifier that falls lowest",
        ),
        Column("lowest", "Down to", "voltage", lambda s, r: _if_carried(r, r.amplifier.lowest_v)),
    ),
)
"""The hardest second with each thing that is tried."""
