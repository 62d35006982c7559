"""The fuse map: where every fuse sits, what it is, and what it guards."""

from domain.topics.fuses import FUSES, UNGUARDED, at_the_counter, sits_at
from domain.topics.tables import PINNED_SAID
from storage.pack.pack_context import Pack
from storage.pack.pages import Column, Paper
from storage.pack.topic_tables import Wide, lay


def fuses(pack: Pack, paper: Paper) -> None:
    """Fuses by the device that they sit at, from the battery outwards."""
    subject = pack.subject
    fuses_here = list(FUSES.rows(subject))
    # Each device is named once, where its first fuse stands.
    places = list(dict.fromkeys(sits_at(subject, run) for run in fuses_here))
    lay(
        subject,
        paper,
        FUSES.over(sorted(fuses_here, key=lambda run: places.index(sits_at(subject, run)))),
        {
            "fuse": Wide(19, bold=True),
            "family": Wide(37),
            "both": Wide(),
            "wire": Wide(20),
            "holds": Wide(18),
        },
        tick=Column("In", 9),
        group=lambda run: f"At {subject.name(sits_at(subject, run))}",
    )
    if UNGUARDED.rows(subject):
        paper.heading("Wire ahead of its fuse")
        lay(subject, paper, UNGUARDED, {"id": Wide(12), "name": Wide(), "bare": Wide(45)})
    if said := at_the_counter(subject):
        paper.words(said)
    paper.words(
        f"{PINNED_SAID} Put fuses in last of all, one at a time, from the battery "
        "outwards: see the work order."
    )
