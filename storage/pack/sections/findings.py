"""What is wrong with the plan, what to do about it, and the cautions that go with the work."""

from storage.pack.packed import Pack
from storage.pack.paper import Paper


def findings(pack: Pack, paper: Paper) -> None:
    """Every finding in full, the worst first, then the cautions."""
    for each in pack.sheet.findings:
        paper.need(16)
        paper.words(f"{each.level.upper()}: {each.what}", bold=True, after=0.6)
        where = pack.name(each.id) if each.id else ""
        for name, said in (
            ("Where", where),
            ("Why", each.why),
            ("Do", each.do),
            ("By", each.source),
        ):
            if said:
                paper.words(f"{name}: {said}", indent=6, after=0.3)
        paper.space(2.2)
    if not pack.sheet.findings:
        paper.words("Nothing was found wrong with this plan.")
    paper.heading("Cautions")
    for caution in pack.sheet.cautions:
        paper.words(caution, indent=5, mark="-")
