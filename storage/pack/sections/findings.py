"""What is wrong with the plan, what to do about it, and the cautions that go with the work."""

from domain.topics.findings import parts
from storage.pack.pack_context import Pack
from storage.pack.pages import Paper


def findings(pack: Pack, paper: Paper) -> None:
    """Every finding in full, the worst first, then the cautions."""
    for each in pack.sheet.findings:
        lines = [f"{name}: {said}" for name, said in parts(pack.build, each)]
        title = f"{each.level.upper()}: {each.what}"
        with paper.together():
            paper.words(title, bold=True, after=0.6)
            for line in lines:
                paper.words(line, indent=6, after=0.3)
            paper.space(2.2)
    if not pack.sheet.findings:
        paper.words("Nothing was found wrong with this plan.")
    with paper.together():
        paper.heading("Cautions")
        for caution in pack.sheet.cautions:
            paper.words(caution, indent=5, mark="-")
