"""What each amplifier draws, what is lost on its way there and back, and how its ground lies."""

from domain.build.choices import shown
from domain.build.records import Appliance
from domain.document.records import find
from domain.sheet import AmplifierLoad, Sheet
from domain.topics.tables import TEXT, Column, Subject, Table


def worst_drop_v(sheet: Sheet) -> float | None:
    """Largest drop of any amplifier or other load [V]; ``None`` where none has one."""
    return max((a.drop_v for a in sheet.loads if a.drop_v is not None), default=None)


def conductor_kg(sheet: Sheet) -> float:
    """Conductor mass of all runs that are bought [kg]."""
    return sum(run.conductor_kg for run in sheet.runs if not run.existing)


def way_back(subject: Subject, load: AmplifierLoad) -> str:
    """Every run and device on the way from an amplifier's ground terminal, the body between."""
    build = subject.build
    names: list[str] = []
    here = load.id
    for run in (find(build, id) for id in load.return_runs):
        if run is None:
            continue
        ends = [run.source, run.target]
        if here not in ends:
            grounds = [point.id for point in build.grounds if point.id in ends]
            here = grounds[0] if grounds else ends[0]
            names += ["body", subject.name(here)]
        ends.remove(here)
        here = ends[0]
        names += [subject.name(run.id), subject.name(here)]
    return " > ".join(names) or "no ground path to a battery"


def against(subject: Subject) -> str:
    """What the offset of a ground is measured against, as the beginning of a sentence."""
    marked = ", ".join(subject.name(point.id) for point in subject.build.grounds if point.signal)
    if marked:
        return f"Ground difference to the head unit at {marked}, at full power."
    return "Ground difference to the body at full power: no ground point is the head unit's."


BOTH_SIDES = "volts lost on power and ground side together, at full power"

AMPLIFIERS: Table[AmplifierLoad] = Table(
    rows=lambda s: s.sheet.amplifiers,
    columns=(
        Column("name", "Amplifier", TEXT, lambda s, a: a.name or a.id),
        Column("rated", "Rated", "power", lambda s, a: a.rated_w),
        Column("efficiency", "Eff.", "fraction", lambda s, a: a.efficiency),
        Column(
            "full",
            "Full power",
            "current",
            lambda s, a: a.design_a,
            says="what it draws with every amplifier at rated power with a steady tone",
        ),
        Column(
            "programme",
            "Average",
            "current",
            lambda s, a: a.programme_a,
            says="what it draws on average, with music as it is mostly played",
        ),
        Column("drop", "Drop", "voltage", lambda s, a: a.drop_v, says=BOTH_SIDES),
        Column("out", "Feed drop", "voltage", lambda s, a: a.drop_feed_v),
        Column("back", "Ground drop", "voltage", lambda s, a: a.drop_return_v),
        Column(
            "offset",
            "To head unit",
            "voltage",
            lambda s, a: a.ground_offset_v,
            says="how far its ground lies from the head unit's, at full power: heard as whine",
        ),
        Column("way", "Return path", TEXT, way_back),
    ),
)


def _appliance(subject: Subject, load: AmplifierLoad) -> Appliance:
    found = find(subject.build, load.id)
    assert isinstance(found, Appliance)
    return found


APPLIANCES: Table[AmplifierLoad] = Table(
    rows=lambda s: s.sheet.appliances,
    columns=(
        Column("name", "Load", TEXT, lambda s, a: a.name or a.id),
        Column("kind", "Kind", TEXT, lambda s, a: shown(_appliance(s, a).kind)),
        Column("rated", "Power", "power", lambda s, a: a.rated_w),
        Column("works", "Works", TEXT, lambda s, a: shown(_appliance(s, a).works)),
        Column("full", "Running", "current", lambda s, a: a.design_a),
        Column("average", "Average", "current", lambda s, a: a.programme_a),
        Column("drop", "Drop", "voltage", lambda s, a: a.drop_v, says=BOTH_SIDES),
        Column("way", "Return path", TEXT, way_back),
    ),
)
"""What loads that play no music draw, while they run and on average."""
