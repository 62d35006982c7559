"""Who and what a build is for, and the figures that everybody asks for."""

from domain.build.choices import shown
from domain.topics.findings import counts
from domain.topics.loads import conductor_kg, worst_drop_v
from domain.topics.runs import fuse_shown
from domain.topics.tables import TEXT, Fact, Subject


def title(subject: Subject) -> str:
    """What the build is called."""
    return subject.build.header.title or "Untitled build"


def about(subject: Subject) -> list[Fact]:
    """Customer, vehicle and the like, as far as they are known."""
    header = subject.build.header
    told = (
        ("Customer", header.customer),
        ("Vehicle", header.vehicle),
        ("Job status", shown(header.state)),
        ("Played mostly", shown(header.programme)),
        ("Average level", _level(subject) if header.average_level is not None else ""),
        ("Music judged", header.music),
        (
            "Drop limit",
            f"{subject.show('voltage', header.drop_limit_v)} from battery to amplifier and back",
        ),
        ("Notes", header.notes),
    )
    return [Fact(name, TEXT, said) for name, said in told if said]


def _level(subject: Subject) -> str:
    """What is played on average, in words."""
    header = subject.build.header
    if header.average_level is None:
        return shown(header.programme)
    return f"{subject.show('share', header.average_level)} of rated power"


def main_figures(subject: Subject) -> tuple[Fact, ...]:
    """What the job comes to, on one look."""
    header, sheet = subject.build.header, subject.sheet
    new = [run for run in sheet.runs if not run.existing]
    fused = [run for run in sheet.runs if run.fuse_a is not None]
    largest = max(fused, key=lambda run: run.fuse_a or 0.0, default=None)
    fuse = f"{fuse_shown(subject, largest)}, {subject.name(largest.id)}" if largest else "none"
    drop = subject.show("voltage", worst_drop_v(sheet))
    limit = subject.show("voltage", header.drop_limit_v)
    return (
        Fact("Amplifiers, rated together", "power", sum(a.rated_w for a in sheet.amplifiers)),
        *(
            [Fact("Other loads together", "power", sum(a.rated_w for a in sheet.appliances))]
            if sheet.appliances
            else []
        ),
        Fact("Current at full power", "current", sheet.supply.design_a),
        Fact(f"Average current ({_level(subject)})", "current", sheet.supply.programme_a),
        Fact("Worst drop to an amplifier and back, full power", TEXT, f"{drop}, limit {limit}"),
        Fact("Batteries", "capacity", sheet.supply.capacity_ah),
        Fact("Largest fuse", TEXT, fuse),
        Fact("New wire, slack in it", "length", sum(run.wire_m for run in new)),
        Fact("Conductor in it", "mass", conductor_kg(sheet)),
        Fact("Custom parts", "count", sum(part.quantity for part in sheet.parts)),
        Fact("Findings", TEXT, counts(sheet)),
    )
