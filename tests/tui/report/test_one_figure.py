"""One figure, one form: what text prints, the paper prints, and grid and pane show it so too."""

import re

import pytest

from demo_db.load import demo_builds
from domain.evaluate import make_plan
from domain.full_results import full_results
from domain.topics.grounds import GROUNDS
from domain.topics.loads import AMPLIFIERS
from domain.topics.runs import SCHEDULE
from domain.topics.supply import balance
from domain.topics.tables import Subject
from storage.pack.pack import pack_files
from tests.storage.pack.measuring import open_pdf
from tui.report.sheet import text
from tui.tables.build_tables import SPECS
from tui.widgets.pane_lines import pane_lines

BUILDS = dict(demo_builds())


def close(shown: str) -> str:
    """Text without its line breaks and the spaces of its layout."""
    return re.sub(r"\s+", "", shown)


@pytest.mark.parametrize("name", ["estate_car", "hatchback"])
def test_text_paper_grid_and_pane_print_the_same_figure(name: str) -> None:
    plan = make_plan(BUILDS[name])
    build, sheet, results = plan.build, plan.sheet, full_results(plan)
    subject = Subject(build, sheet)
    files = pack_files(
        plan, results, paper="a4", only=frozenset({"summary", "supply", "runs", "grounds"})
    )
    (pdf,) = files.values()
    paper = close(" ".join(page.get_text() for page in open_pdf(pdf)))
    printed = close(text(build, results))
    said = [subject.show(fact.kind, fact.value) for fact in balance(subject)]
    said += [fact.title for fact in balance(subject)] + [f.note for f in balance(subject)]
    for topic, keys in (
        (SCHEDULE, ("length", "wire", "holds", "fuse", "full", "drop", "warm")),
        (GROUNDS, ("path", "full", "rise")),
        (AMPLIFIERS, ("rated", "full", "programme", "drop", "out", "back", "offset")),
    ):
        said += [column.title for column in topic.pick(keys)]
        said += [cell for row in topic.cells(subject, keys) for cell in row]
    for each in said:
        assert close(each) in paper, each
        assert close(each) in printed, each
    pane = "\n".join(span.text for line in pane_lines(build, sheet, 60) for span in line.spans)
    for kind, value in (
        ("current", sheet.supply.design_a),
        ("minutes", sheet.supply.play_minutes),
        ("voltage", sheet.supply.sag_v),
    ):
        assert subject.show(kind, value) in pane
    (runs,) = (spec for spec in SPECS if spec.id == "runs")
    columns = {column.field: column for column in runs.columns}
    for run in sheet.runs:
        for field, key in (("·drop", "drop"), ("·temp", "warm"), ("·a", "full")):
            cell = SCHEDULE.by_key[key].cell(subject, run)
            assert columns[field].shown(build, sheet, run) == cell
