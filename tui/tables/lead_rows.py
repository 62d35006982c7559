"""What stands below the drawing of the wiring: the leads that switch, and that carry the sound.

The tree of ``domain.topics.wiring.lead_forest``, as paper has it, folded: each output stands with
its leads in one row, whose form has the fields of them all.
"""

from msgspec import Struct

from domain.build.choices import LeadKind
from domain.build.records import Build
from domain.document.records import label
from domain.sheet import RemoteResult, Sheet
from domain.topics.runs import switched_by
from domain.topics.tables import Subject
from domain.topics.wiring import lead_forest, leads_of

LINE = "┈"
"""What a lead is drawn with."""


class LeadRow(Struct, frozen=True):
    """An output with what it switches, or leads of a kind: id of its row, text, all its records.

    ``amperes`` is what the output gives [A], where it is one.
    """

    id: str
    text: str
    records: tuple[str, ...]
    amperes: float | None = None


def lead_rows(build: Build, sheet: Sheet) -> list[LeadRow]:
    """Every lead in one row: those of each output, remote leads of none, signal, loudspeaker."""
    subject = Subject(build, sheet)
    results = {remote.id: remote for remote in sheet.remotes}
    found, loose = [], list[str]()
    for root in lead_forest(build, sheet):
        own = leads_of(root)
        if root.run:
            loose += own
            continue
        result = results.get(root.device)
        text = _output(subject, result, len(own)) if result else label(build, root.device)
        given = result.given_a if result else None
        found.append(LeadRow(root.device, text, (root.device, *own), given))
    groups = [("·loose", "Fed from no output", loose)]
    groups += [
        (f"·{kind.value}", f"{kind.value.capitalize()} leads", _of_kind(build, kind))
        for kind in (LeadKind.SIGNAL, LeadKind.SPEAKER)
    ]
    for id, name, ids in groups:
        if ids:
            found.append(LeadRow(id, f"{LINE}{LINE} {name}: {_names(build, ids)}", tuple(ids)))
    return found


def _output(subject: Subject, remote: RemoteResult, leads: int) -> str:
    told = f"{leads} lead{'' if leads == 1 else 's'}, {subject.show('current', remote.devices_a)}"
    through = f", {switched_by(subject, remote)}" if remote.relay else ""
    return f"{remote.name} {LINE}{LINE} {told}{through}"


def _of_kind(build: Build, kind: LeadKind) -> list[str]:
    return [lead.id for lead in build.leads if lead.kind is kind]


def _names(build: Build, ids: list[str]) -> str:
    """What the leads lead to."""
    leads = [lead for lead in build.leads if lead.id in ids]
    return ", ".join(dict.fromkeys(build.name_of(lead) for lead in leads))
